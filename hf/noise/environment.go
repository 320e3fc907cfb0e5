package noise

import (
	"fmt"
	"math"
	"strings"
)

// Source is the noise of one kind at one frequency: median and deciles.
type Source struct {
	Fam float64 // dB above k t0 b
	Du  float64 // dB from the median up to the level exceeded 10 % of the time
	Dl  float64 // dB from the median down to the level exceeded 90 % of the time
}

// Environment is a category of man-made noise.
type Environment int

const (
	City Environment = iota // "business" in older editions
	Residential
	Rural
	QuietRural
)

// The curves and deciles of man-made noise: Fam = c − d log f, deciles in time, and
// the (symmetrical) decile between places.
//
// Source: ITU-R P.372-17 Part 6, as in our notes §2 (from memory, agrees with an
// independent source). Quiet rural has no deciles of its own: those of rural.
var manMade = [4]struct {
	name          string
	c, d          float64
	Du, Dl, place float64
}{
	City:        {"city", 76.8, 27.7, 11.0, 6.7, 8.4},
	Residential: {"residential", 72.5, 27.7, 10.6, 5.3, 5.8},
	Rural:       {"rural", 67.2, 27.7, 9.2, 4.6, 6.8},
	QuietRural:  {"quiet-rural", 53.6, 28.6, 9.2, 4.6, 6.8},
}

// String is the name files and flags use.
func (e Environment) String() string {
	if e < 0 || int(e) >= len(manMade) {
		return fmt.Sprintf("Environment(%d)", int(e))
	}
	return manMade[e].name
}

// ParseEnvironment reads a name as String writes it.
func ParseEnvironment(s string) (Environment, error) {
	names := make([]string, len(manMade))
	for i, m := range manMade {
		if s == m.name {
			return Environment(i), nil
		}
		names[i] = m.name
	}
	return 0, fmt.Errorf("parse noise environment: %q is none: choose %s", s, strings.Join(names, ", "))
}

// SiteSpreadDB is the standard deviation, dB, of the median from place to place
// within a category: what one does not know of a site before listening there. It is
// no part of Du and Dl.
func (e Environment) SiteSpreadDB() float64 { return manMade[e].place / decileToσ }

// ManMade is the man-made noise of a category at f MHz.
//
//	Fam = c − d log₁₀ f
//
// Source:   ITU-R P.372-17 Part 6, as in our notes §2.
// Domain:   0.3–250 MHz.
// Accuracy: the categories rest on few and old measurements; SiteSpreadDB.
// Departs:  no. The deciles are those in time only (one offset a site is learned).
func ManMade(e Environment, fMHz float64) Source {
	m := &manMade[e]
	return Source{m.c - m.d*math.Log10(fMHz), m.Du, m.Dl}
}

// Galactic is the noise of the sky behind the ionosphere at f MHz. It does not come
// through below foF2 at the receiver (see Site.Total).
//
//	Fam = 52 − 23 log₁₀ f ,  Du = Dl = 2 dB
//
// Source:   ITU-R P.372-17, as in our notes §3 (from memory, high).
// Domain:   above foF2, to 100 MHz.
// Accuracy: up to some 3 foF2 the ionosphere shuts off part of the sky; not modelled.
// Departs:  no.
func Galactic(fMHz float64) Source {
	return Source{52 - 23*math.Log10(fMHz), 2, 2}
}
