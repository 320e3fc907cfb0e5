//go:build ignore

// Gen re-expresses the world map of ground classes as the package hf/earth embeds
// it. Where the map has sea the class of the nearest land stands, so that the coast
// lines alone decide what is sea. The form is told in SOURCE.md.
//
//	go run tables/groundclass/gen.go ../shared/data
package main

import (
	"bufio"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
)

const (
	rows, columns = 361, 720 // nodes every 0.5°, from 90° S and 180° W
	sea           = 10
	out           = "hf/earth/data/groundclass.bin"
)

func main() {
	if len(os.Args) != 2 {
		log.Fatal("usage: gen DATA-FOLDER")
	}
	m := read(filepath.Join(os.Args[1], "ground", "ground_code_0p5deg.txt"))
	filled, seas := fill(m)

	raw := []byte{}
	runs := 0
	for i := 0; i < len(filled); {
		k := i
		for k < len(filled) && filled[k] == filled[i] {
			k++
		}
		raw = append(binary.AppendUvarint(raw, uint64(k-i)), filled[i])
		runs++
		i = k
	}
	var packed bytes.Buffer
	w, _ := flate.NewWriter(&packed, flate.BestCompression)
	w.Write(raw)
	w.Close()
	if err := os.WriteFile(out, packed.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s: %d nodes, %d of them sea filled, %d runs, %d bytes\n", out, len(filled), seas, runs, packed.Len())
}

// read returns the classes, row by row; the source repeats 180° W as 180° E.
func read(name string) []byte {
	f, err := os.Open(name)
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	var m []byte
	sc := bufio.NewScanner(f)
	for n := 1; sc.Scan(); n++ {
		line := sc.Text()
		if n == 1 && len(line) > 0 && line[0] == '#' {
			continue
		}
		if len(line) != columns+1 || line[0] != line[columns] {
			log.Fatalf("%s line %d has %d classes, want %d, the last equal to the first", name, n, len(line), columns+1)
		}
		for _, c := range line[:columns] {
			switch {
			case '1' <= c && c <= '9':
				m = append(m, byte(c-'0'))
			case c == 'A':
				m = append(m, sea)
			default:
				log.Fatalf("%s line %d has class %q, want 1…9 or A", name, n, c)
			}
		}
	}
	if err := sc.Err(); err != nil || len(m) != rows*columns {
		log.Fatalf("%s: %d nodes, want %d (%v)", name, len(m), rows*columns, err)
	}
	return m
}

// fill puts the class of the nearest land node, on the sphere, where the map has
// sea; of two equally near the poorer ground.
func fill(m []byte) (filled []byte, seas int) {
	west, east := neighbours(m, -1), neighbours(m, +1)
	filled = bytes.Clone(m)
	for i := range rows {
		for j := range columns {
			if m[i*columns+j] != sea {
				continue
			}
			seas++
			best, class := math.Inf(1), byte(0)
			for k := 0; k < rows; k++ {
				if float64(k)*math.Pi/360 > best+1e-12 {
					break // no node of a row k away is nearer than k rows
				}
				for _, r := range []int{i - k, i + k} {
					if r < 0 || r >= rows {
						continue
					}
					for _, steps := range []int{west[r*columns+j], east[r*columns+j]} {
						if steps < 0 {
							continue // no land in the row
						}
						d := distance(i, r, steps)
						c := m[r*columns+(j+steps)%columns]
						if d < best-1e-12 || (d < best+1e-12 && c < class) {
							best, class = d, c
						}
					}
				}
			}
			filled[i*columns+j] = class
		}
	}
	return filled, seas
}

// neighbours returns for each node how many steps eastward, of one turn, the next
// land of its row lies in a direction; −1 where the row is all sea.
func neighbours(m []byte, direction int) []int {
	next := make([]int, len(m))
	for i := range rows {
		last := -1 // column of the land last seen, in a second round also beyond the seam
		for n := range 2 * columns {
			j := n % columns
			if direction > 0 {
				j = columns - 1 - j
			}
			if m[i*columns+j] != sea {
				last = j
			}
			next[i*columns+j] = -1
			if last >= 0 {
				next[i*columns+j] = (last - j + columns) % columns
			}
		}
	}
	return next
}

// distance is the arc between a node of row i and one of row r some columns on.
//
//	sin²(σ/2) = sin²(Δφ/2) + cos φ1 cos φ2 sin²(Δλ/2)
func distance(i, r, steps int) float64 {
	const step = math.Pi / 360
	sinΔφ, sinΔλ := math.Sin(float64(r-i)*step/2), math.Sin(float64(steps)*step/2)
	cos1, cos2 := math.Cos(float64(i-180)*step), math.Cos(float64(r-180)*step)
	h := float64(sinΔφ*sinΔφ) + float64(float64(cos1*cos2)*float64(sinΔλ*sinΔλ))
	return 2 * math.Asin(math.Sqrt(min(h, 1)))
}
