package report

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"farhail/hf/antenna"
	"farhail/hf/earth"
	"farhail/unit"
)

// The drawing is well-formed, its notes end before the ring of bearings begins and lie
// within the height, and no word of them is lost.
func TestAntennaSVG(t *testing.T) {
	sea, _ := earth.GroundByName("sea")
	for _, s := range []antenna.Spec{
		{Kind: antenna.Isotropic},
		{Kind: antenna.Dipole, Height: 10 * unit.Metre},
		{Kind: antenna.Wire, Height: 3 * unit.Metre, Top: 14 * unit.Metre, Length: 12.5 * unit.Metre, Ground: sea, TunerLoss: 2.5},
	} {
		p, err := antenna.Solve(s, 8.4*unit.MHz)
		if err != nil {
			t.Fatal(err)
		}
		d := p.Drawing(67, 0)
		d.Notes = append(d.Notes, strings.TrimSpace(strings.Repeat("a note of several words ", 20)))
		svg := string(AntennaSVG(d))
		r := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := r.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", s.Kind, err)
			}
		}
		lines := antennaNotes(d)
		for _, l := range lines {
			if len(l) > 56 || !strings.Contains(svg, escape(l)) {
				t.Errorf("%s: the note %q is %d letters long, or not drawn", s.Kind, l, len(l))
			}
		}
		if got, want := strings.Join(lines[1:], " "), strings.Join(d.Notes, " "); got != want {
			t.Errorf("%s: notes are %q, want %q", s.Kind, got, want)
		}
	}
}
