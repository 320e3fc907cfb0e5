package mail

import (
	"bytes"
	"os"
	"testing"

	"farhail/traffic"
)

// Each letter must be read without a stain but those meant to be shown.
func TestLettersAreRead(t *testing.T) {
	remarks := map[string]string{
		"05-burnt-hand.eml":  "the text travels twice, plain and as HTML: plain alone is smaller",
		"13-week-report.eml": "the text is given as HTML only",
	}
	seen := map[string]string{}
	for world, letters := range map[string][]Letter{"saltmarsh": Saltmarsh(), "tamarind": Tamarind()} {
		if want := map[string]int{"saltmarsh": 14, "tamarind": 7}[world]; len(letters) != want {
			t.Fatalf("%s has %d letters, want %d", world, len(letters), want)
		}
		for _, l := range letters {
			m, err := traffic.Parse(l.Raw, traffic.Options{})
			if err != nil {
				t.Fatalf("%s: %v", l, err)
			}
			for _, w := range m.Warnings {
				if w != remarks[l.Name] {
					t.Errorf("%s: warning %q", l, w)
				}
			}
			for _, k := range m.Keys() {
				if seen[k] != "" {
					t.Errorf("%s is taken for a duplicate of %s", l.Name, seen[k])
				}
				seen[k] = l.Name
			}
			t.Logf("%-9s %-28s %s %-9s %-31s %-16s %8d octets, on the air %8d %8d %8d", world, l.Name, m.ID, m.Precedence, m.PrecedenceBy, m.Deadline.Format("01-02T15:04"), m.Size, m.OnAir.Low, m.OnAir.Best, m.OnAir.High)
		}
	}
}

// What the issue asks of the world: a report of about 300 octets, a photograph of about 2 MB.
func TestSmallestAndLargest(t *testing.T) {
	letters := Saltmarsh()
	if n := len(letters[0].Raw); n < 250 || n > 350 {
		t.Errorf("the position report has %d octets, want 250 to 350", n)
	}
	m, err := traffic.Parse(letters[2].Raw, traffic.Options{Unmeasured: true})
	if err != nil {
		t.Fatal(err)
	}
	a := m.Attachments[0]
	if !a.Picture || a.Width != 1920 || a.Height != 1440 || a.Size < 1_800_000 || a.Size > 2_200_000 {
		t.Errorf("the photograph is %d × %d in %d octets, want 1920 × 1440 in 1.8 to 2.2 million", a.Width, a.Height, a.Size)
	}
	if !bytes.Equal(a.Bytes(), Bearing()) {
		t.Error("the photograph is not the drawing, or two drawings differ")
	}
}

// The embedded files are the ones that lie here: nobody has added one by hand
// under a name that is not embedded.
func TestEveryFileIsALetter(t *testing.T) {
	for world, letters := range map[string][]Letter{"saltmarsh": Saltmarsh(), "tamarind": Tamarind()} {
		files, err := os.ReadDir(world)
		if err != nil || len(files) != len(letters) {
			t.Errorf("%s: %d files, %d letters, %v", world, len(files), len(letters), err)
		}
	}
}

func BenchmarkBearing(b *testing.B) {
	for b.Loop() {
		Bearing()
	}
}

func BenchmarkSaltmarsh(b *testing.B) {
	for b.Loop() {
		Saltmarsh()
	}
}
