// Package mail holds the letters of the two demo worlds, all invented: fourteen of
// the research ketch Saltmarsh and seven of the flood relief net Tamarind.
//
// The texts are written by tables/demomail/gen.go and embedded. The pictures are
// drawn when asked for, so that no megabytes lie in the repository; arithmetic on
// integers makes them the same on every machine.
package mail

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"io/fs"
)

//go:embed saltmarsh/*.eml tamarind/*.eml
var files embed.FS

// Letter is one message as a mail program would hand it over.
type Letter struct {
	Name string // "03-bearing-photograph.eml"
	Raw  []byte
}

// Saltmarsh returns the letters that wait aboard the ketch, in order of writing.
func Saltmarsh() []Letter { return world("saltmarsh") }

// Tamarind returns the letters that wait at the base of the relief net.
func Tamarind() []Letter { return world("tamarind") }

func world(name string) []Letter {
	list, err := fs.ReadDir(files, name)
	if err != nil {
		panic("mail: " + err.Error())
	}
	var out []Letter
	for _, f := range list {
		raw, err := files.ReadFile(name + "/" + f.Name())
		if err != nil {
			panic("mail: " + err.Error())
		}
		out = append(out, Letter{f.Name(), withPicture(raw)})
	}
	return out
}

// A letter with a picture has, where the base64 belongs, a line that names the
// drawing to put there.
var drawings = map[string]func() []byte{
	"@bearing@": Bearing,
	"@petrel@":  Petrel,
}

func withPicture(raw []byte) []byte {
	for mark, draw := range drawings {
		before, after, found := bytes.Cut(raw, []byte(mark))
		if !found {
			continue
		}
		picture := draw()
		out := make([]byte, 0, len(raw)+len(picture)*3/2)
		out = append(out, before...)
		out = appendBase64(out, picture)
		return append(out, after...)
	}
	return raw
}

// appendBase64 writes lines of 76 characters (RFC 2045 §6.8) without the last line end.
func appendBase64(out, data []byte) []byte {
	const octets = 57
	for i := 0; i < len(data); i += octets {
		if i > 0 {
			out = append(out, '\r', '\n')
		}
		out = base64.StdEncoding.AppendEncode(out, data[i:min(i+octets, len(data))])
	}
	return out
}

func (l Letter) String() string { return fmt.Sprintf("%s (%d octets)", l.Name, len(l.Raw)) }
