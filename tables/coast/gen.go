//go:build ignore

// Gen re-expresses the land of Natural Earth 1:50 m, which it reads from the
// TopoJSON file given, as the package hf/earth embeds it: rings in steps of 0.01°.
// The form is told in SOURCE.md.
//
//	go run tables/coast/gen.go LAND-50M.JSON
package main

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"log"
	"math"
	"os"
)

const (
	perDegree = 100 // steps
	around    = 360 * perDegree
	out       = "hf/earth/data/coast.bin"
)

// topology is what we read of a TopoJSON file: arcs of quantised, delta-coded
// points, and a land made of polygons of rings of arc numbers (~i: arc i backwards).
type topology struct {
	Transform struct{ Scale, Translate [2]float64 }
	Arcs      [][][2]int
	Objects   struct {
		Land struct {
			Geometries []struct {
				Type string
				Arcs [][][]int
			}
		}
	}
}

type point struct{ x, y int64 } // steps

func main() {
	if len(os.Args) != 2 {
		log.Fatal("usage: gen LAND-50M.JSON")
	}
	text, err := os.ReadFile(os.Args[1])
	if err != nil {
		log.Fatal(err)
	}
	var t topology
	if err := json.Unmarshal(text, &t); err != nil {
		log.Fatalf("read %s: %v", os.Args[1], err)
	}
	if g := t.Objects.Land.Geometries; len(g) != 1 || g[0].Type != "MultiPolygon" {
		log.Fatalf("the land is not one MultiPolygon but %d geometries", len(g))
	}
	arcs := t.arcs()

	var counts, xs, ys []byte
	var last point
	polygons, rings, points, dropped := 0, 0, 0, 0
	for _, polygon := range t.Objects.Land.Geometries[0].Arcs {
		var kept [][]point
		for _, numbers := range polygon {
			ring := join(arcs, numbers)
			if len(ring) < 3 || isPole(ring) {
				dropped++
				continue
			}
			kept = append(kept, ring)
		}
		if len(kept) == 0 {
			continue
		}
		polygons++
		counts = binary.AppendUvarint(counts, uint64(len(kept)))
		for _, ring := range kept {
			rings++
			points += len(ring)
			counts = binary.AppendUvarint(counts, uint64(len(ring)))
			for _, p := range ring {
				xs = binary.AppendVarint(xs, short(p.x-last.x))
				ys = binary.AppendVarint(ys, p.y-last.y)
				last = p
			}
		}
	}
	raw := binary.AppendUvarint(nil, perDegree)
	raw = binary.AppendUvarint(raw, uint64(polygons))
	raw = append(append(append(raw, counts...), xs...), ys...)

	var packed bytes.Buffer
	w, _ := flate.NewWriter(&packed, flate.BestCompression)
	w.Write(raw)
	w.Close()
	if err := os.WriteFile(out, packed.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s: %d polygons, %d rings, %d points, %d rings dropped, %d bytes\n", out, polygons, rings, points, dropped, packed.Len())
}

// arcs undoes the deltas and the quantisation of the source and rounds to our steps.
func (t *topology) arcs() [][]point {
	arcs := make([][]point, len(t.Arcs))
	scale, from := t.Transform.Scale, t.Transform.Translate
	for i, arc := range t.Arcs {
		var qx, qy int
		for _, d := range arc {
			qx, qy = qx+d[0], qy+d[1]
			lon := float64(float64(qx)*scale[0]) + from[0] // no fused multiply-add: the same bytes everywhere
			lat := float64(float64(qy)*scale[1]) + from[1]
			arcs[i] = append(arcs[i], point{int64(math.Round(lon * perDegree)), int64(math.Round(lat * perDegree))})
		}
	}
	return arcs
}

// join makes a ring of its arcs, leaving out each point that rounding put onto the
// one before it, and the last, which repeats the first.
func join(arcs [][]point, numbers []int) []point {
	var ring []point
	add := func(p point) {
		if n := len(ring); n == 0 || !same(ring[n-1], p) {
			ring = append(ring, p)
		}
	}
	for _, i := range numbers {
		if i >= 0 {
			for _, p := range arcs[i] {
				add(p)
			}
			continue
		}
		for k := len(arcs[^i]) - 1; k >= 0; k-- {
			add(arcs[^i][k])
		}
	}
	if n := len(ring); n > 1 && same(ring[0], ring[n-1]) {
		ring = ring[:n-1]
	}
	return ring
}

func same(a, b point) bool { return a.y == b.y && short(a.x-b.x) == 0 }

// short brings a difference of longitudes to the short way round.
func short(dx int64) int64 {
	return ((dx+around/2)%around+around)%around - around/2
}

// isPole finds the ring the source draws along the lower edge of its map, at
// 89.999° S: no coast, but the pole.
func isPole(ring []point) bool {
	for _, p := range ring {
		if p.y > -90*perDegree {
			return false
		}
	}
	return true
}
