package earth

import (
	"bytes"
	"compress/flate"
	_ "embed"
	"encoding/binary"
	"io"
	"math"
	"sync"
)

// groundclassBin is a world map of land classes; its form is told in
// tables/groundclass/SOURCE.md.
//
//go:embed data/groundclass.bin
var groundclassBin []byte

const classRows, classColumns = 361, 720 // nodes every 0.5°, from 90° S and 180° W

// classGround has what a class of the map, 1…9, means: its conductivity, with the
// permittivity of the kind of ground (ITU-R P.368 and P.832, as in ground.go)
// nearest to it in log σ. The map's own permittivities are not used: it was made for
// 10–30 kHz.
var classGround = [...]Ground{
	1: {1e-5, Ice.EpsR},
	2: {3e-5, Ice.EpsR}, // between ice and very dry ground, which have the same
	3: {1e-4, VeryDry.EpsR},
	4: {3e-4, Dry.EpsR},
	5: {1e-3, MediumDry.EpsR},
	6: {3e-3, Average.EpsR},
	7: {1e-2, Wet.EpsR},
	8: {3e-2, GoodLand.EpsR},
	9: {1e-1, GoodLand.EpsR},
}

// classes is the map, row by row, decoded once. A bad embed is a broken build, so it
// panics.
var classes = sync.OnceValue(func() []byte { return readClasses(groundclassBin) })

func readClasses(packed []byte) []byte {
	raw, err := io.ReadAll(flate.NewReader(bytes.NewReader(packed)))
	if err != nil {
		panic("earth: read ground classes: " + err.Error())
	}
	m := make([]byte, 0, classRows*classColumns)
	for len(raw) > 0 {
		n, k := binary.Uvarint(raw)
		if k <= 0 || k == len(raw) || n > uint64(cap(m)-len(m)) || raw[k] < 1 || int(raw[k]) >= len(classGround) {
			panic("earth: read ground classes: bad run")
		}
		for range n {
			m = append(m, raw[k])
		}
		raw = raw[k+1:]
	}
	if len(m) != cap(m) {
		panic("earth: read ground classes: the map is not full")
	}
	return m
}

// GroundAt returns the ground at a place: sea where OnLand denies land, else the class
// of the nearest node of the map. A lake has the class of the land about it.
//
// Source:   coast lines as OnLand; classes of Morgan's world map of effective
// conductivity at VLF (1968), 0.5°, in steps of the series 1–3–10.
// Accuracy: for HF good enough to tell ice, rock, soil and sea apart: at 10–30 kHz
// tens of metres of depth count, at HF the top metres.
// Departs:  P.832's maps, made for MF, are not to be had; ε_r is by σ (see classGround).
func GroundAt(p Point) Ground { return groundAt(p.Lon.Deg()*perDegree, p.Lat.Deg()*perDegree) }

func groundAt(x, y float64) Ground {
	if !coast().onLand(x, y) {
		return Sea
	}
	row, column := nodeOf(y+90*perDegree), nodeOf(x+180*perDegree)
	return classGround[classes()[row*classColumns+(column%classColumns+classColumns)%classColumns]]
}

// nodeOf counts nodes of the map, in one direction, from a number of steps.
func nodeOf(steps float64) int { return int(math.Floor(steps/nodeSteps + 0.5)) }

const nodeSteps = perDegree / 2
