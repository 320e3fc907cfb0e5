package earth

import (
	"math"
	"math/rand/v2"
	"testing"

	"farhail/unit"
)

// Places whose side of the coast any atlas tells (common geography).
func TestOnLand(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		land     bool
		name     string
	}{
		{51.5, 0, true, "London"},
		{-20, 134, true, "the middle of Australia"},
		{0, 25, true, "the Congo basin"},
		{60, 100, true, "Siberia"},
		{65, -18.5, true, "Iceland"},
		{66.5, -175, true, "Chukotka, east of 180°"},
		{67, 179, true, "Chukotka, west of 180°"},
		{71.2, -179.5, true, "Wrangel Island, east of 180°"},
		{71.2, 179.8, true, "Wrangel Island, west of 180°"},
		{-17.8, 178, true, "Viti Levu"},
		{-80, 0, true, "Antarctica"},
		{-85, 100, true, "Antarctica"},
		{-90, 0, true, "the south pole"},
		{-90, 123.4, true, "the south pole"},
		{-89.9995, 45, true, "beside the south pole, inside the source's lower edge"},
		{77, -40, true, "Greenland"},
		{44, -87, true, "Lake Michigan, no sea in the source"},
		{0, -30, false, "the Atlantic"},
		{0, -160, false, "the Pacific"},
		{-45, 180, false, "the Pacific"},
		{42, 51, false, "the Caspian Sea"},
		{43, 34, false, "the Black Sea"},
		{58, -86, false, "Hudson Bay"},
		{25, -90, false, "the Gulf of Mexico"},
		{-75, -175, false, "the Ross Sea"},
		{90, 0, false, "the north pole"},
		{84, 77, false, "the Arctic Ocean"},
	} {
		for _, turn := range []float64{0, -360, 360} {
			if got := OnLand(At(c.lat, c.lon+turn)); got != c.land {
				t.Errorf("%s (%g, %g): on land %t, want %t", c.name, c.lat, c.lon+turn, got, c.land)
			}
		}
	}
}

func TestOnLandOfNoPlace(t *testing.T) {
	nan, inf := unit.Angle(math.NaN()), unit.Angle(math.Inf(1))
	for _, p := range []Point{{nan, 0}, {0, nan}, {inf, 0}, {0, inf}, {0, -inf}, At(91, 25), At(-91, 0)} {
		if OnLand(p) {
			t.Errorf("%v is on land, want not", p)
		}
	}
}

// An independent road: all edges without an index, along the meridian to the south
// pole, which is land; half of the places on meridians through corners of the coast.
func TestOnLandTowardsSouth(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	lands := 0
	for n := range 400 {
		y := math.Asin(2*r.Float64()-1) * 180 / math.Pi * perDegree
		x := float64(r.IntN(around)) - around/2
		if n%2 == 0 {
			x += r.Float64()
		}
		if n%4 == 0 {
			ring := coast().rings[r.IntN(len(coast().rings))]
			v := ring[r.IntN(len(ring))]
			x, y = float64(v.x), min(float64(v.y)+1e-3+30*r.Float64(), 9000)
		}
		land := true
		for _, ring := range coast().rings {
			a := ring[len(ring)-1]
			for _, b := range ring {
				xa := math.Remainder(float64(a.x)-x, around)
				xb := xa + math.Remainder(float64(b.x-a.x), around)
				if (xa <= 0) != (xb <= 0) && float64(a.y)-xa*float64(b.y-a.y)/(xb-xa) < y {
					land = !land
				}
				a = b
			}
		}
		if got := coast().onLand(x, y); got != land {
			t.Errorf("%.6f° N %.6f° E: on land %t, towards the south pole %t", y/perDegree, x/perDegree, got, land)
		}
		if land {
			lands++
		}
	}
	if lands < 80 || lands > 320 {
		t.Errorf("%d of 400 places on land: the sample says little", lands)
	}
}

func TestCoastRings(t *testing.T) {
	rings := Coast()
	if len(rings) != 1419 {
		t.Errorf("%d rings, want the 1,419 of the source", len(rings))
	}
	points, holes, poles := 0, 0, 0
	for i, ring := range rings {
		points += len(ring)
		if len(ring) < 3 {
			t.Errorf("ring %d has %d points", i, len(ring))
		}
		var turn, longest float64
		for k, p := range ring {
			if !(p[0] >= -180 && p[0] < 180 && p[1] > -90 && p[1] < 90) {
				t.Errorf("ring %d point %d is at %v", i, k, p)
			}
			a := ring[(k+len(ring)-1)%len(ring)]
			dλ := math.Remainder(float64(p[0]-a[0]), 360)
			if dλ == 0 && p[1] == a[1] {
				t.Errorf("ring %d point %d repeats the one before: %v", i, k, p)
			}
			turn += dλ
			longest = max(longest, math.Hypot(dλ*math.Cos(float64(p[1])*math.Pi/180), float64(p[1]-a[1])))
		}
		if longest > 3 {
			t.Errorf("ring %d, of %d points, has an edge of %.2f°", i, len(ring), longest)
		}
		switch {
		case math.Abs(turn) > 359:
			poles++
		case areaKm2(ring) < 0:
			holes++
		}
	}
	if points != 58925 || holes != 1 || poles != 1 {
		t.Errorf("%d points, %d holes, %d rings round a pole, want 58925, 1 (the Caspian), 1 (Antarctica)", points, holes, poles)
	}
}

// areaKm2 is the area of the sphere to the right of a ring; one that goes round the
// south pole holds it.
//
//	A = R0² ∮ (sin φ [+ 1 round the pole]) dλ
func areaKm2(ring [][2]float32) float64 {
	var sum, turn float64
	for k, p := range ring {
		a := ring[(k+len(ring)-1)%len(ring)]
		dλ := math.Remainder(float64(p[0]-a[0]), 360) * math.Pi / 180
		sum += dλ * (math.Sin(float64(a[1])*math.Pi/180) + math.Sin(float64(p[1])*math.Pi/180)) / 2
		turn += dλ
	}
	return R0Km * R0Km * (sum + turn)
}

// The area by the rings, the area by counting places and the one in reference books
// (149 million km² of land, 103,000 km² of Iceland: common geography) are the same.
func TestLandArea(t *testing.T) {
	var rings float64
	iceland := 0.0
	for _, ring := range Coast() {
		a := areaKm2(ring)
		rings += a
		if p := ring[0]; p[1] > 63 && p[1] < 67 && p[0] > -25 && p[0] < -13 {
			iceland = max(iceland, a)
		}
	}
	const n = 200_000
	golden := (math.Sqrt(5) - 1) / 2
	on := 0
	for i := range n { // places spread evenly by the golden section
		φ := math.Asin((2*float64(i)+1)/n - 1)
		if OnLand(Point{unit.Angle(φ), unit.Angle(2 * math.Pi * math.Mod(float64(i)*golden, 1))}) {
			on++
		}
	}
	counted := 4 * math.Pi * R0Km * R0Km * float64(on) / n
	t.Logf("land %.3f million km² by the rings, %.3f counted; Iceland %.0f km²", rings/1e6, counted/1e6, iceland)
	if math.Abs(counted/rings-1) > 5e-4 {
		t.Errorf("land is %.4g km² by its rings, %.4g counted", rings, counted)
	}
	if math.Abs(rings/149e6-1) > 0.02 {
		t.Errorf("land is %.4g km², want 149 million within 2 %%", rings)
	}
	if math.Abs(iceland/103e3-1) > 0.02 {
		t.Errorf("Iceland is %.4g km², want 103,000 within 2 %%", iceland)
	}
}

func BenchmarkCoastDecode(b *testing.B) {
	for b.Loop() {
		c := &coastIndex{rings: readCoast(coastBin)}
		c.index()
	}
}

func BenchmarkOnLand(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	var places [1024]Point
	for i := range places {
		places[i] = Point{unit.Angle(math.Asin(2*r.Float64() - 1)), unit.Angle(2 * math.Pi * r.Float64())}
	}
	OnLand(places[0])
	for i := 0; b.Loop(); i++ {
		OnLand(places[i%len(places)])
	}
}
