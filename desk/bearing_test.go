package desk

import (
	"math"
	"testing"
)

func TestBearing(t *testing.T) {
	for deg, want := range map[float64]string{0: "000", 359.4: "359", 359.7: "000", 360: "000", -0.3: "000", -67: "293", 7.2: "007"} {
		if got := Bearing(deg); got != want {
			t.Errorf("Bearing(%g) = %s, want %s", deg, got, want)
		}
	}
	if math.Signbit(round(-0.00001)) {
		t.Error("a zero below zero")
	}
}
