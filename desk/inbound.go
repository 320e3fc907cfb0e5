package desk

import (
	"context"
	"fmt"

	"farhail/unit"
)

const expectPrefix = "expect:"

// Expect notes how much is believed to wait for us at a station, as a bulletin or the
// last call said; nothing takes the note away. A call that connects clears it.
func (d *Desk) Expect(ctx context.Context, name string, size unit.Bytes) (string, error) {
	s, err := d.station(name)
	if err != nil {
		return "", err
	}
	if err := unit.Check("size", float64(size), 0, 1e8, "B"); err != nil {
		return "", err
	}
	return s.Name, d.DB.SetSetting(ctx, expectPrefix+s.Name, fmt.Sprintf("%d B", int64(size)))
}

// expected is what waits at each station, as noted.
func (d *Desk) expected(ctx context.Context) (map[string]unit.Bytes, error) {
	out := map[string]unit.Bytes{}
	for i := range d.Directory.Stations {
		name := d.Directory.Stations[i].Name
		text, ok, err := d.DB.Setting(ctx, expectPrefix+name)
		if err != nil {
			return nil, err
		}
		if !ok {
			continue
		}
		b, err := unit.ParseBytes(text)
		if err != nil {
			return nil, fmt.Errorf("what waits at %s: %w", name, err)
		}
		if b > 0 {
			out[name] = b
		}
	}
	return out, nil
}
