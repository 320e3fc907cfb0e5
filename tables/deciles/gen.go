//go:build ignore

// Gen writes the day-to-day deciles of foF2 hf/iono embeds: lower and upper decile
// over median, in hundredths, by season, activity, band of latitude and block of
// local time. It proves first that the months of a season and the hemispheres six
// months apart are equal, which is why the twelve months and two hemispheres of the
// source fold into three seasons.
//
//	go run tables/deciles/gen.go ../shared/data
package main

import (
	"encoding/csv"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"strconv"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 2 {
		log.Fatal("usage: gen DATA-FOLDER")
	}
	f, err := os.Open(filepath.Join(os.Args[1], "variability", "fof2_deciles.csv"))
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		log.Fatal(err)
	}
	const size = 3 * 3 * 8 * 6 * 2
	var out [size]byte
	seen := 0
	for _, r := range rows[1:] {
		n := func(i int) int { v, _ := strconv.Atoi(r[i]); return v }
		ratio := func(i int) byte {
			v, err := strconv.ParseFloat(r[i], 64)
			if err != nil || v < 0.5 || v > 2 {
				log.Fatalf("row %v", r)
			}
			return byte(math.Round(v * 100))
		}
		month := n(0)
		if r[3] == "S" {
			month = (month+5)%12 + 1
		}
		season := map[int]int{11: 0, 12: 0, 1: 0, 2: 0, 3: 1, 4: 1, 9: 1, 10: 1, 5: 2, 6: 2, 7: 2, 8: 2}[month]
		at := (((season*3+n(2)-1)*8+n(4)-1)*6 + n(1) - 1) * 2
		for i, v := range [2]byte{ratio(6), ratio(5)} {
			if out[at+i] != 0 && out[at+i] != v {
				log.Fatalf("row %v: %d, before %d: the table does not fold", r, v, out[at+i])
			}
			out[at+i] = v
		}
		seen++
	}
	for i, v := range out {
		if v == 0 {
			log.Fatalf("cell %d is empty", i)
		}
	}
	if err := os.WriteFile("hf/iono/data/deciles.bin", out[:], 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("hf/iono/data/deciles.bin: %d rows into %d bytes\n", seen, len(out))
}
