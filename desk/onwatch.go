package desk

import (
	"time"
)

// planAge is how long a plan stands for the present: under a minute, so that each minute
// has its own while somebody looks.
const planAge = 50 * time.Second

// Stands says whether a plan made at one moment of the desk's clock holds at a later one:
// for under a minute, and never over the beginning of a watch. Who comes to the radio gets a plan
// of that moment, with what the log and the mail have brought meanwhile.
func (d *Desk) Stands(made, now time.Time) bool {
	if age := now.Sub(made); age < 0 || age >= planAge {
		return false
	}
	begins, ok := d.WatchBegins(made)
	return !ok || now.Before(begins)
}

// WatchBegins is the first moment after t at which a watch begins; ok is false when
// somebody is at the radio day and night, or nobody ever.
func (d *Desk) WatchBegins(t time.Time) (time.Time, bool) {
	next, ok := d.Home.Watch.Next(t)
	if ok && !d.Home.OnWatch(next) {
		next, ok = d.Home.Watch.Next(next)
	}
	return next, ok
}

// Night is the night at home that is, or the one that comes within a day: sunset and
// sunrise by the Sun's upper limb. ok is false where the Sun does not set or not rise.
func (d *Desk) Night(t time.Time) (sunset, sunrise time.Time, ok bool) {
	at := d.At(t)
	day := t.UTC().Truncate(24 * time.Hour)
	for n := -2; n <= 1; n++ { // far from Greenwich a night belongs to the day before or after
		night, ok := nightAfter(at, day.AddDate(0, 0, n))
		if ok && night.Sunrise.After(t) && night.Sunset.Before(t.Add(24*time.Hour)) {
			return night.Sunset, night.Sunrise, true
		}
	}
	return time.Time{}, time.Time{}, false
}

// hours is the moment so many hours after another.
func hours(t time.Time, h float64) time.Time {
	return t.Add(time.Duration(h * float64(time.Hour)))
}
