//go:build ignore

// Gen re-expresses the IGRF-14 coefficients as the package hf/earth embeds them:
// epochs 1955–2025 and the secular variation, in units of 0.01 nT, each epoch as
// its difference from the one before, zigzag varints, deflate.
//
//	go run tables/geomag/gen.go ../shared/data
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
	"strconv"
	"strings"
)

func main() {
	if len(os.Args) != 2 {
		log.Fatal("usage: gen DATA-FOLDER")
	}
	f, err := os.Open(filepath.Join(os.Args[1], "geomag", "igrf14coeffs.txt"))
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	const first, columns = 1955, 16 // 1955, 1960 … 2025, SV
	var from int
	var raw []byte
	rows := 0
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		w := strings.Fields(sc.Text())
		if len(w) == 0 || strings.HasPrefix(w[0], "#") {
			continue
		}
		if w[0] == "g/h" {
			for i, x := range w {
				if y, err := strconv.ParseFloat(x, 64); err == nil && y == first {
					from = i
				}
			}
			continue
		}
		if w[0] != "g" && w[0] != "h" {
			continue
		}
		if from == 0 || len(w) != from+columns {
			log.Fatalf("row %q has %d columns, want %d", sc.Text(), len(w), from+columns)
		}
		last := int64(0)
		for i := range columns {
			v, err := strconv.ParseFloat(w[from+i], 64)
			if err != nil {
				log.Fatal(err)
			}
			n := int64(math.Round(v * 100))
			if i == columns-1 {
				last = 0
			}
			raw = binary.AppendVarint(raw, n-last)
			last = n
		}
		rows++
	}
	if err := sc.Err(); err != nil || rows != 195 {
		log.Fatalf("%d rows, want 195 (%v)", rows, err)
	}
	var out bytes.Buffer
	w, _ := flate.NewWriter(&out, flate.BestCompression)
	w.Write(raw)
	w.Close()
	if err := os.WriteFile("hf/earth/data/igrf14.bin", out.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("hf/earth/data/igrf14.bin: %d rows, %d bytes\n", rows, out.Len())
}
