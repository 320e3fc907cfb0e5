package ground

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"farhail/hf/earth"
	"farhail/unit"
)

// Notes §9, first worked example: 30 km of average land, then 70 km of sea, 5 MHz.
func ExampleMixed() {
	E := Mixed(5*unit.MHz, []Section{{earth.Average, 30 * unit.Km}, {earth.Sea, 70 * unit.Km}})
	fmt.Printf("%.4f dBµV/m for 1 kW\n", E)
	// Output: 43.7140 dBµV/m for 1 kW
}

// Notes §9, second worked example: an island, a strait and a spit, 5 MHz.
func ExampleCurves_Mixed() {
	var curves Curves
	E := curves.Mixed(5*unit.MHz, []Section{
		{earth.Average, 20 * unit.Km}, {earth.Sea, 50 * unit.Km}, {earth.Average, 10 * unit.Km},
	})
	fmt.Printf("%.4f dBµV/m for 1 kW\n", E)
	// Output: 31.9878 dBµV/m for 1 kW
}

// The parts of both worked examples. The notes print 79.3139 for 30 km of sea, a slip:
// their own sum, 24.7398, needs 79.3137, and their check table has 79.314.
func TestMillingtonParts(t *testing.T) {
	L, S := curve(5, earth.Average), curve(5, earth.Sea)
	for _, r := range []struct {
		c       *Curve
		dKm, at float64
	}{
		{L, 30, 37.6216}, {S, 30, 79.3137}, {S, 100, 66.4319}, {S, 70, 70.6643}, {L, 70, 21.0991}, {L, 100, 13.1230},
		{L, 20, 45.0028}, {S, 20, 83.1031}, {L, 80, 18.2228}, {L, 10, 57.3647}, {S, 10, 89.3586}, {S, 60, 72.3527}, {L, 60, 24.2938},
	} {
		near(t, fmt.Sprintf("E(%g km)", r.dKm), r.c.FieldDBuVm(r.dKm), r.at, 5.1e-5)
	}
}

// randomPath makes n sections of a few kinds of ground, some of them slivers or nothing.
func randomPath(rng *rand.Rand, n int) []Section {
	kinds := someGrounds[:5]
	path := make([]Section, n)
	for i := range path {
		d := unit.Length(math.Pow(10, 1.5+3.7*rng.Float64())) // 30 m … 160 km
		if rng.IntN(12) == 0 {
			d = 0
		}
		path[i] = Section{kinds[rng.IntN(len(kinds))], d}
	}
	return path
}

func reversed(path []Section) []Section {
	r := slices.Clone(path)
	slices.Reverse(r)
	return r
}

func lengthOf(path []Section) (m float64) {
	for _, s := range path {
		m += s.Length.M()
	}
	return m
}

func TestMixedIsReciprocal(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	var curves Curves
	for range 400 {
		path := randomPath(rng, 2+rng.IntN(12))
		f := unit.Freq(someMHz[rng.IntN(len(someMHz))]) * unit.MHz
		if lengthOf(path) == 0 {
			continue
		}
		there, back := curves.Mixed(f, path), curves.Mixed(f, reversed(path))
		if !(math.Abs(there-back) < 1e-8) {
			t.Fatalf("%v MHz, %v: %g there, %g back", f.MHz(), path, there, back)
		}
	}
}

// Cutting a section in pieces, or slipping in nothing, changes nothing.
func TestMixedOfOneGround(t *testing.T) {
	want := curve(7, earth.Wet).FieldDBuVm(90)
	for _, path := range [][]Section{
		{{earth.Wet, 90 * unit.Km}},
		{{earth.Wet, 30 * unit.Km}, {earth.Wet, 60 * unit.Km}},
		{{earth.Wet, 1}, {earth.Wet, 89.999 * unit.Km}, {earth.Sea, 0}},
		{{earth.Wet, 40 * unit.Km}, {earth.Sea, 12}, {earth.Wet, 49.988 * unit.Km}}, // a sliver
	} {
		near(t, fmt.Sprint(path), Mixed(7*unit.MHz, path), want, 1e-9)
	}
}

// The recovery behind a coast: crossing to sea the field rises again, above what land
// alone would leave and below the all-sea field.
func TestRecoveryBehindCoast(t *testing.T) {
	var curves Curves
	f := 5 * unit.MHz
	at := func(seaKm float64) float64 {
		return curves.Mixed(f, []Section{{earth.Average, 30 * unit.Km}, {earth.Sea, unit.Length(seaKm) * unit.Km}})
	}
	shore := curves.Of(f, earth.Average).FieldDBuVm(30)
	if !(at(5) > shore+3) {
		t.Errorf("5 km out to sea %.2f dBµV/m, want well above the %.2f at the shore", at(5), shore)
	}
	for _, d := range []float64{1, 10, 100, 500} {
		lo, hi := curves.Of(f, earth.Average).FieldDBuVm(30+d), curves.Of(f, earth.Sea).FieldDBuVm(30+d)
		if E := at(d); !(E > lo && E < hi) {
			t.Errorf("30 km land, %g km sea: %.2f, want between %.2f and %.2f", d, E, lo, hi)
		}
	}
}

// Moving a shore a little moves the field a little, also where a section shrinks to a
// sliver and to nothing, at an end of the path and in its middle.
func TestMixedFollowsTheShore(t *testing.T) {
	var curves Curves
	for _, fMHz := range []float64{1.6, 5, 12, 30} {
		f := unit.Freq(fMHz) * unit.MHz
		for _, g := range [][2]earth.Ground{{earth.Average, earth.Sea}, {earth.Sea, earth.VeryDry}} {
			for name, path := range map[string]func(w unit.Length) []Section{
				"end": func(w unit.Length) []Section { return []Section{{g[0], w}, {g[1], 100*unit.Km - w}} },
				"middle": func(w unit.Length) []Section {
					return []Section{{g[1], 40 * unit.Km}, {g[0], w}, {g[1], 60*unit.Km - w}}
				},
				"between others": func(w unit.Length) []Section {
					return []Section{{earth.Wet, 40 * unit.Km}, {g[0], w}, {g[1], 60*unit.Km - w}}
				},
			} {
				λ := unit.Length(cMs / f.Hz())
				last := curves.Mixed(f, path(0))
				for w := λ / 400; w < 3*λ; w += λ / 400 {
					E := curves.Mixed(f, path(w))
					// A strip at the antenna costs with the root of its width: 0.32 dB in the first step.
					if !(math.Abs(E-last) < 0.4) {
						t.Errorf("%g MHz, %v in %v, %s: %.3f dBµV/m for %.4g λ after %.3f", fMHz, g[0], g[1], name, E, w.M()/λ.M(), last)
					}
					last = E
				}
			}
		}
	}
}

func TestTidy(t *testing.T) {
	S, L, W := earth.Sea, earth.Average, earth.Wet
	const km = unit.Km
	for _, r := range []struct {
		name       string
		path, want []Section
	}{
		{"nothing", nil, nil},
		{"equal neighbours", []Section{{S, 5 * km}, {S, 3 * km}, {L, 2 * km}}, []Section{{S, 8 * km}, {L, 2 * km}}},
		{"an empty one between equals", []Section{{S, 5 * km}, {L, 0}, {S, 3 * km}}, []Section{{S, 8 * km}}},
		{"a sliver between equals", []Section{{S, 5 * km}, {L, 20}, {S, 3 * km}}, []Section{{S, 8.02 * km}}},
		{"a sliver between others", []Section{{S, 5 * km}, {L, 20}, {W, 3 * km}}, []Section{{S, 5.01 * km}, {W, 3.01 * km}}},
		{"a sliver at either end", []Section{{L, 20}, {S, 5 * km}, {W, 10}}, []Section{{S, 5.03 * km}}},
		{"one sliver alone", []Section{{L, 20}}, []Section{{L, 20}}},
		{"growing into a section", []Section{{S, 5 * km}, {L, 80}, {W, 3 * km}}, []Section{{S, 5.01 * km}, {L, 60}, {W, 3.01 * km}}},
		{"growing at an end", []Section{{L, 60}, {W, 3 * km}}, []Section{{L, 20}, {W, 3.04 * km}}},
		{"two growing side by side", []Section{{S, 1 * km}, {L, 80}, {W, 60}, {S, 1 * km}}, []Section{{S, 1.01 * km}, {L, 80}, {W, 30}, {S, 1.02 * km}}},
		{"slivers only", []Section{{L, 20}, {S, 10}, {L, 5}}, []Section{{L, 35}}},
		{"slivers that together are a shore", []Section{{S, 5 * km}, {L, 50}, {W, 40}, {L, 55}, {S, 5 * km}}, []Section{{S, 5 * km}, {L, 145}, {S, 5 * km}}},
	} {
		f := unit.Freq(cMs/100) * unit.Hz // λ = 100 m
		got := new(Curves).tidy(f, r.path)
		same := slices.EqualFunc(got, r.want, func(a, b Section) bool {
			return a.Ground == b.Ground && math.Abs((a.Length-b.Length).M()) < 1e-9
		})
		if !same {
			t.Errorf("%s: %v, want %v", r.name, got, r.want)
		}
	}
}

func TestMixedWithoutAPath(t *testing.T) {
	for _, path := range [][]Section{nil, {{earth.Sea, 0}}, {{earth.Sea, -3}}, {{earth.Sea, unit.Length(math.NaN())}}} {
		if E := Mixed(5*unit.MHz, path); !math.IsNaN(E) {
			t.Errorf("%v: %g, want NaN", path, E)
		}
	}
}

// One cache serves frequencies and grounds without mixing them up, and leaves the
// caller's sections alone.
func TestCurvesKeepApart(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	var curves Curves
	for range 60 {
		path := append(randomPath(rng, 1+rng.IntN(6)), Section{earth.Sea, 40 * unit.Km})
		before := slices.Clone(path)
		f := unit.Freq(someMHz[rng.IntN(3)]) * unit.MHz
		if got, want := curves.Mixed(f, path), Mixed(f, path); got != want {
			t.Fatalf("%v MHz, %v: cached %g, fresh %g", f.MHz(), path, got, want)
		}
		if !slices.Equal(path, before) {
			t.Fatalf("the path was changed from %v to %v", before, path)
		}
	}
	if n := len(curves.known); n > 15 {
		t.Errorf("%d curves made for 3 frequencies and 5 grounds", n)
	}
}

func TestMixedDoesNotAllocate(t *testing.T) {
	var curves Curves
	path := randomPath(rand.New(rand.NewPCG(1, 2)), 10)
	curves.Mixed(5*unit.MHz, path)
	if n := testing.AllocsPerRun(20, func() { curves.Mixed(5*unit.MHz, path) }); n != 0 {
		t.Errorf("%g allocations, want none", n)
	}
}

func FuzzMixed(f *testing.F) {
	f.Add(5.0, uint64(1), uint8(3))
	f.Add(30.0, uint64(7), uint8(40))
	f.Fuzz(func(t *testing.T, fMHz float64, seed uint64, n uint8) {
		if !(fMHz >= 1.6 && fMHz <= 30) {
			return
		}
		path := randomPath(rand.New(rand.NewPCG(seed, 3)), 1+int(n)%60)
		if lengthOf(path) == 0 {
			return
		}
		freq := unit.Freq(fMHz) * unit.MHz
		var curves Curves
		E := curves.Mixed(freq, path)
		if math.IsNaN(E) || math.IsInf(E, 0) {
			t.Fatalf("%g MHz, %v: %g", fMHz, path, E)
		}
		if back := curves.Mixed(freq, reversed(path)); !(math.Abs(E-back) < 1e-7) {
			t.Fatalf("%g MHz, %v: %g there, %g back", fMHz, path, E, back)
		}
		if a, b := lengthOf(curves.tidy(freq, path)), lengthOf(path); math.Abs(a-b) > 1e-6 {
			t.Fatalf("tidying changed the length from %g to %g m", b, a)
		}
	})
}

func BenchmarkMixed(b *testing.B) {
	two := []Section{{earth.Average, 30 * unit.Km}, {earth.Sea, 70 * unit.Km}}
	var ten []Section
	for range 5 {
		ten = append(ten, Section{earth.Average, 12 * unit.Km}, Section{earth.Sea, 40 * unit.Km})
	}
	for _, r := range []struct {
		name string
		path []Section
	}{{"2 sections", two}, {"10 sections", ten}} {
		b.Run(r.name, func(b *testing.B) {
			b.ReportAllocs()
			var curves Curves
			for b.Loop() {
				curves.Mixed(5*unit.MHz, r.path)
			}
		})
	}
	b.Run("2 sections, no cache", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			Mixed(5*unit.MHz, two)
		}
	})
}
