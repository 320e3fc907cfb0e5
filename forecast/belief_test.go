package forecast

import (
	"math"
	"testing"
	"time"
)

// Silence where the forecast was sure puts the station in doubt and hardly the sky; where
// it hung on the sky, both. All fades to the usual over a watch.
func TestBelief(t *testing.T) {
	at := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
	usual := NewBelief().Free("x", at)
	sure, unsure := NewBelief(), NewBelief()
	sure.Learn("x", at, [States]float64{1, 1, 1}, Silence)
	unsure.Learn("x", at, [States]float64{0.1, 0.5, 0.9}, Silence)
	if f := sure.Free("x", at); !(f > 0.04 && f < 0.1) {
		t.Errorf("after silence on a sure channel: free %.3f; one silence must neither prove nor leave", f)
	}
	if a, b := sure.Free("x", at), unsure.Free("x", at); a >= b || b >= usual {
		t.Errorf("free after silence: sure %.3f, unsure %.3f, usual %.3f", a, b, usual)
	}
	if π := unsure.Sky(at); !(π[0] > StatePrior[0] && π[2] < StatePrior[2]) {
		t.Errorf("sky after silence %v", π)
	}
	if π := sure.Sky(at); math.Abs(π[0]-StatePrior[0]) > 1e-9 {
		t.Errorf("a channel equal in all states tells nothing of the sky: %v", π)
	}
	later := at.Add(Memory)
	if f, π := sure.Free("x", later), unsure.Sky(later); math.Abs(f-usual) > 1e-12 || π != StatePrior {
		t.Errorf("after a watch: free %.3f, sky %v", f, π)
	}
	if f := sure.Free("y", at); f != usual {
		t.Errorf("another station: %.3f", f)
	}
	run := sure.FreeFrom("x", at, 30)
	for i := 1; i < len(run); i++ {
		if run[i] < run[i-1] {
			t.Errorf("presence does not come back evenly: %v", run)
			break
		}
	}
	taken := NewBelief()
	taken.Learn("x", at, [States]float64{1, 1, 1}, Engaged)
	if now, soon, later := taken.Free("x", at), taken.Free("x", at.Add(10*time.Minute)), taken.Free("x", at.Add(time.Hour)); now != 0 || !(soon > 0.5 && soon < 0.6) || later < usual {
		t.Errorf("heard busy: free %.3f at once, %.3f after ten minutes, %.3f after an hour", now, soon, later)
	}
	sure.Learn("x", at.Add(time.Hour), [States]float64{1, 1, 1}, Reached)
	if f := sure.Free("x", at.Add(time.Hour)); f <= usual {
		t.Errorf("reached, yet free %.3f", f)
	}
}
