package station

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"farhail/hf/earth"
	"farhail/unit"
)

// maxDepth bounds how deep elements stand in each other; a point of a track is four deep.
const maxDepth = 64

// element is one of an XML file, while it is read. Names are local: the namespaces of
// both formats differ from version to version.
type element struct {
	name string
	at   int // offset of its <
	attr []xml.Attr
	text []byte // its own, without that of elements inside
}

func (e *element) find(name string) (string, bool) {
	for _, a := range e.attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value, true
		}
	}
	return "", false
}

// visitor is told of each element, with the names from the root to it: "gpx/trk/name".
type visitor interface {
	open(path string, e *element)
	shut(path string, e *element)
}

// walk reads the XML. A file that is not sound gives one fault, since all behind it would
// be guesses; so does one whose root has another name.
func (f *trackFile) walk(root, format string, v visitor) {
	body := bytes.TrimPrefix(f.d.src, []byte("\ufeff"))
	shift := len(f.d.src) - len(body)
	dec := xml.NewDecoder(bytes.NewReader(body))
	var encoding string
	dec.CharsetReader = func(name string, in io.Reader) (io.Reader, error) {
		encoding = name
		return nil, errors.New("not UTF-8")
	}
	broken := func(at int, problem, hint string) {
		f.d.faults = nil
		f.d.fault(min(at, len(f.d.src)), "", problem, hint)
	}
	var stack []*element
	var path string
	rooted := false
	for {
		at := shift + int(dec.InputOffset())
		tok, err := dec.Token()
		var syntax *xml.SyntaxError
		switch {
		case err == io.EOF:
			if !rooted && len(f.d.faults) == 0 {
				f.d.faults = Faults{{File: f.d.file, Problem: "the file is empty", Hint: "export the track again as " + format}}
			}
			return
		case encoding != "":
			broken(at, fmt.Sprintf("the file is written in %s", encoding), "save it as UTF-8")
			return
		case errors.As(err, &syntax):
			broken(f.d.lines[min(max(syntax.Line, 1), len(f.d.lines))-1], "the file cannot be read as XML: "+syntax.Msg, "export the track again as "+format)
			return
		case err != nil:
			broken(at, "the file cannot be read as XML: "+strings.TrimPrefix(err.Error(), "xml: "), "export the track again as "+format)
			return
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := &element{name: tok.Name.Local, at: at, attr: tok.Attr}
			if len(stack) == 0 && e.name != root {
				broken(at, fmt.Sprintf("begins with <%s>, not with <%s>", e.name, root), "export the track as "+format)
				return
			}
			if len(stack) == maxDepth {
				broken(at, fmt.Sprintf("more than %d elements stand in each other", maxDepth), "export the track again as "+format)
				return
			}
			if path += "/" + e.name; len(stack) == 0 {
				path = e.name
			}
			rooted = true
			stack = append(stack, e)
			v.open(path, e)
		case xml.CharData:
			if n := len(stack); n > 0 {
				stack[n-1].text = append(stack[n-1].text, tok...)
			}
		case xml.EndElement:
			n := len(stack) - 1
			v.shut(path, stack[n])
			stack, path = stack[:n], strings.TrimSuffix(path[:len(path)-len(stack[n].name)], "/")
		}
	}
}

// degrees reads a coordinate of an element: decimal degrees, no exponent, no sign but minus
// or plus.
func (f *trackFile) degrees(e *element, field, name, quantity string, limit float64) (unit.Angle, bool) {
	text, ok := e.find(name)
	text = strings.TrimSpace(text)
	if !ok || text == "" {
		f.fault(e.at, field+"."+name, "is missing", fmt.Sprintf("every point needs its %s in degrees", quantity))
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || strings.Trim(text, "+-.0123456789eE") != "" {
		f.fault(e.at, field+"."+name, fmt.Sprintf("%q is not a %s", text, quantity), `write decimal degrees like "38.5217"`)
		return 0, false
	}
	if !(math.Abs(v) <= limit) {
		f.fault(e.at, field+"."+name, fmt.Sprintf("%s of %s° is out of range", quantity, text), fmt.Sprintf("give −%g° to %g°", limit, limit))
		return 0, false
	}
	return unit.Angle(v) * unit.Degree, true
}

func (f *trackFile) position(e *element, field string) (p earth.Point, ok bool) {
	lat, okLat := f.degrees(e, field, "lat", "latitude", 90)
	lon, okLon := f.degrees(e, field, "lon", "longitude", 180)
	return earth.Point{Lat: lat, Lon: lon}, okLat && okLon
}

// moment reads a time of XML Schema; one without a zone is UTC, as both formats say.
func (f *trackFile) moment(at int, field, text string) (time.Time, bool) {
	const how = `write it in UTC like "2026-11-26T06:00:00Z"`
	text = strings.TrimSpace(text)
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04:05"} {
		t, err := time.Parse(layout, text)
		if err != nil {
			continue
		}
		if t = t.UTC(); t.Year() < 1900 || t.Year() > 2100 {
			f.fault(at, field, fmt.Sprintf("the year of %q is out of range", text), "give 1900 to 2100")
			return t, false
		}
		return t, true
	}
	f.fault(at, field, fmt.Sprintf("%q is not a time", text), how)
	return time.Time{}, false
}
