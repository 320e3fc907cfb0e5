package store

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// scribe is the environment by which this test program, run again, becomes a
// process that writes to a store, "path|name", or makes stores, "path|", until it
// is killed.
const scribe = "STORE_TEST_SCRIBE"

func TestMain(m *testing.M) {
	if args := os.Getenv(scribe); args != "" {
		path, name, _ := strings.Cut(args, "|")
		work := func() error { return writeForEver(path, name) }
		if name == "" {
			work = func() error { return createForEver(path) }
		}
		if err := work(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	os.Exit(m.Run())
}

// writeForEver queues a message, logs the call that delivers it, queues two more and
// ranks them, and says "ID\n" once the store has said that all is kept; then again.
func writeForEver(path, name string) error {
	ctx := context.Background()
	db, err := Open(ctx, path)
	if err != nil {
		return err
	}
	for i := 0; ; i++ {
		id := fmt.Sprintf("%s-%d", name, i)
		if _, err := db.AddMessage(ctx, message(id), make([]byte, 5000)); err != nil {
			return err
		}
		if _, err := db.Append(ctx, attempt(id, id)); err != nil {
			return err
		}
		for _, pair := range []string{id + "x", id + "y"} {
			if _, err := db.AddMessage(ctx, message(pair), []byte("x")); err != nil {
				return err
			}
		}
		if err := db.SetRanks(ctx, map[string]int{id + "x": i + 1, id + "y": i + 1}, now); err != nil {
			return err
		}
		if _, err := os.Stdout.WriteString(id + "\n"); err != nil {
			return err
		}
		// A writer without a pause keeps the lock from the other one.
		time.Sleep(time.Millisecond)
	}
}

// createForEver makes stores path0, path1, … and says each.
func createForEver(path string) error {
	for i := 0; ; i++ {
		db, err := Create(context.Background(), fmt.Sprint(path, i))
		if err != nil {
			return err
		}
		db.Close()
		if _, err := fmt.Println(i); err != nil {
			return err
		}
	}
}

// A store whose making is cut short is whole, or is not there.
func TestKilledCreate(t *testing.T) {
	made := 0
	for round := range 8 {
		path := filepath.Join(t.TempDir(), "desk")
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), scribe+"="+path+"|")
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		bufio.NewReader(out).ReadString('\n')
		time.Sleep(rand.N(15 * time.Millisecond))
		cmd.Process.Kill()
		cmd.Wait()
		files, err := filepath.Glob(path + "*")
		if err != nil || len(files) == 0 {
			t.Fatalf("round %d: no store made: %v", round, err)
		}
		for _, f := range files {
			if strings.HasSuffix(f, "-wal") || strings.HasSuffix(f, "-shm") {
				continue // belongs to the store that was open
			}
			if db, err := Open(t.Context(), f); err != nil {
				t.Errorf("round %d: %v", round, err)
			} else if r, err := db.Check(t.Context()); err != nil || len(r.Problems) > 0 {
				t.Errorf("round %d: Check of %s: %v, %q", round, f, err, r.Problems)
			} else {
				made++
				db.Close()
			}
		}
	}
	t.Logf("%d stores made, each whole", made)
}

// Two processes write to one store and both are killed at some moment, over and
// over: the store stays sound and nothing that was acknowledged is missing.
func TestKilledWriters(t *testing.T) {
	const rounds = 25
	path := filepath.Join(t.TempDir(), "desk.db")
	create(t, path).Close()
	seed := uint64(time.Now().UnixNano())
	r := rand.New(rand.NewPCG(seed, 0))
	acknowledged := map[string]bool{}
	for round := range rounds {
		var both sync.WaitGroup
		var lock sync.Mutex
		begun := make(chan struct{}, 2)
		var cmds []*exec.Cmd
		for w := range 2 {
			cmd := exec.Command(os.Args[0])
			cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s|r%dw%d", scribe, path, round, w))
			cmd.Stderr = os.Stderr
			out, err := cmd.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			cmds = append(cmds, cmd)
			both.Go(func() {
				lines := bufio.NewReader(out)
				for {
					s, err := lines.ReadString('\n')
					if err != nil { // io.EOF: killed; a line without its end was not said
						if err != io.EOF {
							t.Errorf("round %d: %v", round, err)
						}
						return
					}
					lock.Lock()
					acknowledged[strings.TrimSuffix(s, "\n")] = true
					lock.Unlock()
					select {
					case begun <- struct{}{}:
					default:
					}
				}
			})
		}
		if round%2 == 0 { // every other round dies wherever it is, opening too
			select {
			case <-begun:
			case <-time.After(20 * time.Second):
				t.Errorf("round %d (seed %d): no writer has written anything", round, seed)
			}
		}
		time.Sleep(time.Duration(r.IntN(120_000)) * time.Microsecond)
		for _, cmd := range cmds {
			cmd.Process.Kill()
		}
		both.Wait()
		for _, cmd := range cmds {
			if err := cmd.Wait(); err == nil || cmd.ProcessState.ExitCode() != -1 {
				t.Fatalf("round %d (seed %d): a writer ended by itself: %v", round, seed, err)
			}
		}
		kept(t, path, acknowledged, fmt.Sprintf("round %d (seed %d)", round, seed))
	}
	if len(acknowledged) < rounds {
		t.Fatalf("only %d entries acknowledged in %d rounds: the test tests too little", len(acknowledged), rounds)
	}
	t.Logf("%d rounds, %d entries acknowledged, none lost", rounds, len(acknowledged))
}

func kept(t *testing.T, path string, acknowledged map[string]bool, when string) {
	t.Helper()
	db, err := Open(t.Context(), path)
	if err != nil {
		t.Fatalf("%s: %v", when, err)
	}
	defer db.Close()
	if r, err := db.Check(t.Context()); err != nil || len(r.Problems) > 0 {
		t.Fatalf("%s: Check: %v, %q", when, err, r.Problems)
	}
	list, err := db.Entries(t.Context(), EntryFilter{})
	if err != nil {
		t.Fatalf("%s: %v", when, err)
	}
	found := map[string]bool{}
	for _, e := range list {
		found[e.ID] = true
	}
	queue, err := db.Messages(t.Context())
	if err != nil {
		t.Fatalf("%s: %v", when, err)
	}
	ranks := map[string]int{}
	for _, m := range queue {
		ranks[m.ID] = m.Rank
	}
	for id := range acknowledged {
		if !found[id] {
			t.Fatalf("%s: entry %q was acknowledged and is lost", when, id)
		}
		if ranks[id+"x"] == 0 {
			t.Fatalf("%s: the rank of %sx was acknowledged and is lost", when, id)
		}
	}
	for id, r := range ranks { // a pair is ranked at once, or not at all
		if x, ok := strings.CutSuffix(id, "x"); ok && r != ranks[x+"y"] {
			t.Fatalf("%s: of the pair %s one is ranked %d, the other %d", when, x, r, ranks[x+"y"])
		}
	}
}
