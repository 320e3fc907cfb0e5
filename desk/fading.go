package desk

import (
	"fmt"
	"math"
	"strings"

	"farhail/hf/ground"
)

// A Meeting is a ground wave beside the sky wave, and how the two fade together.
type Meeting struct {
	Ground    *float64 `json:"ground_dbw,omitempty"`
	Over      *float64 `json:"ground_over_sky_db,omitempty"` // over the sky wave's mean; none: nothing by the sky
	Fading    string   `json:"fading_region,omitempty"`
	Delay     *float64 `json:"ground_delay_ms,omitempty"`   // by which the strongest mode comes later
	Tenth     *float64 `json:"fade_tenth_db,omitempty"`     // under the median for a tenth of the time
	Hundredth *float64 `json:"fade_hundredth_db,omitempty"` // and for a hundredth
}

// meeting says what there is to say of a ground wave received at so many dBW.
func meeting(m ground.Mix, along, delayMs float64) Meeting {
	a := Meeting{Ground: ptr(along), Fading: m.Region.String(), Tenth: ptr(m.At50DBW - m.At90DBW), Hundredth: ptr(m.At50DBW - m.At99DBW)}
	if m.KDB < 200 {
		a.Over = ptr(m.KDB)
	}
	if !math.IsNaN(delayMs) {
		a.Delay = ptr(delayMs)
	}
	return a
}

// Fades reports whether the two waves are near enough to beat against each other.
func (m *Meeting) Fades() bool {
	return m.Fading == ground.Fading.String() || m.Fading == ground.SevereFading.String()
}

// fadingAdvice is what helps, by the physics of the two waves: the ground wave grows
// towards low frequencies, the sky wave is absorbed there by day and gone above the MUF.
const fadingAdvice = "a lower frequency by day, or one above the MUF, leaves the ground wave alone"

// FadingSentence says in words what two waves near each other do; empty where one rules.
func (m *Meeting) FadingSentence() string {
	if !m.Fades() {
		return ""
	}
	within, deep := ground.FadingWithinDB, "slow fading"
	if m.Fading == ground.SevereFading.String() {
		within, deep = ground.SevereWithinDB, "deep slow fading"
	}
	apart := ""
	if m.Delay != nil {
		apart = fmt.Sprintf(", %.1f ms apart", *m.Delay)
	}
	return fmt.Sprintf("ground wave and sky wave are within %.0f dB of each other%s: %s, %.0f dB under the median for a tenth of the time and %.0f dB for a hundredth; %s",
		within, apart, deep, *m.Tenth, *m.Hundredth, fadingAdvice)
}

// FadingNotes is a line for each frequency that fades at some hour: the hours, and the
// deepest of it.
func (a *CircuitAnswer) FadingNotes() (lines []string) {
	if len(a.Hours) == 0 {
		return nil
	}
	for k := range a.Hours[0].Frequencies {
		var hours []float64
		var worst *Meeting
		for i := range a.Hours {
			m := &a.Hours[i].Frequencies[k].Meeting
			if !m.Fades() {
				continue
			}
			hours = append(hours, a.Hours[i].UTC)
			if worst == nil || *m.Hundredth > *worst.Hundredth {
				worst = m
			}
		}
		if worst != nil {
			lines = append(lines, fmt.Sprintf("%g MHz at %s UTC: %s.", a.Hours[0].Frequencies[k].MHz, spanned(hours), worst.FadingSentence()))
		}
	}
	return lines
}

// spanned writes rising hours with runs drawn together: 0–9, 18, 20–23.
func spanned(hours []float64) string {
	var parts []string
	for i := 0; i < len(hours); {
		j := i
		for j+1 < len(hours) && hours[j+1] == hours[j]+1 {
			j++
		}
		part := fmt.Sprintf("%g", hours[i])
		if j > i {
			part += fmt.Sprintf("–%g", hours[j])
		}
		parts = append(parts, part)
		i = j + 1
	}
	return strings.Join(parts, ", ")
}
