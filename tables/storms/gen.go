//go:build ignore

// Gen writes the disturbance of the earth's field the practice air draws its storms
// from: the 3-hour index ap of 1958–2013, one number of its 28 classes each.
//
//	go run tables/storms/gen.go ../shared/data
package main

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// classes are the values ap can take, Kp 0o, 0+, 1− … 9o.
// Source: definition of ap (Bartels), from memory, high; every value of the file is one.
var classes = []int{0, 2, 3, 4, 5, 6, 7, 9, 12, 15, 18, 22, 27, 32, 39, 48, 56, 67, 80, 94, 111, 132, 154, 179, 207, 236, 300, 400}

const firstYear, lastYear = 1958, 2013

func main() {
	log.SetFlags(0)
	if len(os.Args) != 2 {
		log.Fatal("usage: gen DATA-FOLDER")
	}
	name := filepath.Join(os.Args[1], "indices", "apf107_2025-04-25.dat")
	raw, err := os.ReadFile(name)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s SHA-256 %x\n", filepath.Base(name), sha256.Sum256(raw))
	var out []byte
	days := 0
	for n, line := range strings.Split(strings.TrimRight(string(raw), "\n"), "\n") {
		year := 1900 + field(line, 0, n)
		if year < firstYear {
			year += 100 // two digits
		}
		if year > lastYear {
			break
		}
		days++
		for i := range 8 {
			v := field(line, 9+3*i, n)
			c := slices.Index(classes, v)
			if c < 0 {
				log.Fatalf("%s line %d: ap %d is none of the 28 values", name, n+1, v)
			}
			out = append(out, byte(c))
		}
	}
	if want := 20454; days != want { // 1958-01-01 … 2013-12-31
		log.Fatalf("%s: %d days, want %d", name, days, want)
	}
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestCompression)
	if err == nil {
		_, err = w.Write(out)
	}
	if err == nil {
		err = w.Close()
	}
	if err == nil {
		err = os.WriteFile("practice/data/ap.bin", packed.Bytes(), 0o644)
	}
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("practice/data/ap.bin: %d days, %d values, %d bytes\n", days, len(out), packed.Len())
}

func field(line string, at, n int) int {
	if len(line) < at+3 {
		log.Fatalf("line %d is short", n+1)
	}
	v, err := strconv.Atoi(strings.TrimSpace(line[at : at+3]))
	if err != nil {
		log.Fatalf("line %d: %v", n+1, err)
	}
	return v
}
