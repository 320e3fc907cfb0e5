package desk

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"sync"
)

// maxLine bounds one query of a run of lines.
const maxLine = 1 << 20

// Lines answers one query a line, in order, on all cores. A line that cannot be
// answered gets {"error": "…"} in its place and the run goes on; empty lines are passed
// over. The error is of reading or writing alone.
func Lines(r io.Reader, w io.Writer, answer func(line []byte) (any, error)) error {
	type job struct {
		line []byte
		out  chan []byte
	}
	workers := runtime.GOMAXPROCS(0)
	jobs := make(chan job)
	order := make(chan chan []byte, 16*workers)
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for j := range jobs {
				j.out <- answerLine(j.line, answer)
			}
		})
	}
	var readErr error
	go func() {
		defer close(order)
		defer close(jobs)
		in := bufio.NewReaderSize(r, 64<<10)
		for n := 1; ; n++ {
			line, err := readLine(in)
			if len(bytes.TrimSpace(line)) > 0 || line == nil && err == nil {
				j := job{line, make(chan []byte, 1)}
				order <- j.out
				if line == nil {
					j.out <- errorLine(fmt.Errorf("line %d is longer than %d bytes", n, maxLine))
				} else {
					jobs <- j
				}
			}
			if err != nil {
				if err != io.EOF {
					readErr = fmt.Errorf("read line %d: %w", n, err)
				}
				return
			}
		}
	}()
	out := bufio.NewWriter(w)
	var writeErr error
	for c := range order {
		b := <-c
		if writeErr == nil {
			if _, err := out.Write(b); err != nil {
				writeErr = fmt.Errorf("write answers: %w", err)
			}
			if len(order) == 0 && writeErr == nil {
				writeErr = out.Flush()
			}
		}
	}
	all.Wait()
	if writeErr == nil {
		writeErr = out.Flush()
	}
	if readErr != nil {
		return readErr
	}
	return writeErr
}

// readLine returns a line without its end; nil for one that is too long, whose rest
// is read and dropped.
func readLine(in *bufio.Reader) ([]byte, error) {
	line := []byte{}
	long := false
	for {
		part, err := in.ReadSlice('\n')
		if !long {
			line = append(line, part...)
			long = len(line) > maxLine
		}
		if err == bufio.ErrBufferFull {
			continue
		}
		if long {
			return nil, err
		}
		return bytes.TrimRight(line, "\r\n"), err
	}
}

func answerLine(line []byte, answer func([]byte) (any, error)) []byte {
	v, err := answer(line)
	if err != nil {
		return errorLine(err)
	}
	b, err := json.Marshal(v)
	if err != nil {
		return errorLine(err)
	}
	return append(b, '\n')
}

func errorLine(err error) []byte {
	b, _ := json.Marshal(map[string]string{"error": err.Error()})
	return append(b, '\n')
}
