package web

import (
	"bytes"
	"compress/gzip"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"
	"sync"

	"farhail/hf/earth"
)

// dist is the built page: ui/build.sh makes it from ui/.
//
//go:embed all:dist
var dist embed.FS

// A file of the page, as it is and compressed.
type file struct {
	kind       string
	plain, gz  []byte
	compressed bool
}

// files are read once.
var files = sync.OnceValue(func() map[string]file {
	out := map[string]file{}
	err := fs.WalkDir(dist, "dist", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		b, err := dist.ReadFile(p)
		if err != nil {
			return err
		}
		f := file{kind: mime.TypeByExtension(path.Ext(p)), plain: b}
		switch path.Ext(p) {
		case ".woff2":
			f.kind = "font/woff2"
		case ".js":
			f.kind = "text/javascript; charset=utf-8"
		}
		if path.Ext(p) != ".woff2" {
			f.gz, f.compressed = zip(b), true
		}
		out[strings.TrimPrefix(p, "dist")] = f
		return nil
	})
	if err != nil {
		panic("web: read page: " + err.Error())
	}
	return out
})

// style is the address of the page's style.
func style() string {
	for name := range files() {
		if path.Ext(name) == ".css" {
			return name
		}
	}
	return ""
}

func zip(b []byte) []byte {
	var buf bytes.Buffer
	w, _ := gzip.NewWriterLevel(&buf, gzip.BestCompression)
	w.Write(b)
	w.Close()
	return buf.Bytes()
}

func (f *file) serve(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", f.kind)
	b := f.plain
	if f.compressed {
		h.Set("Vary", "Accept-Encoding")
		if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			h.Set("Content-Encoding", "gzip")
			b = f.gz
		}
	}
	h.Set("Content-Length", strconv.Itoa(len(b)))
	w.Write(b)
}

// screens are the addresses of the page's own views.
var screens = map[string]bool{"/": true, "/traffic": true, "/stations": true, "/conditions": true, "/log": true, "/home": true}

// page serves the built files. The mode (light, dusk, red) is in the first bytes, from
// its cookie, so that a red page never flashes white.
func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	if f, ok := files()[r.URL.Path]; ok && r.URL.Path != "/index.html" {
		if strings.HasPrefix(r.URL.Path, "/assets/") {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		}
		f.serve(w, r)
		return
	}
	if !screens[r.URL.Path] {
		refuse(w, http.StatusNotFound, "no such page", "go to /")
		return
	}
	f := files()["/index.html"]
	html := f.plain
	if c, err := r.Cookie("mode"); err == nil && (c.Value == "dusk" || c.Value == "red") {
		html = bytes.Replace(html, []byte(`data-mode="light"`), []byte(`data-mode="`+c.Value+`"`), 1)
		html = bytes.Replace(html, []byte(`content="light"`), []byte(`content="dark"`), 1)
	}
	if r.URL.Path == "/" {
		html = bytes.Replace(html, []byte("</head>"), []byte(ahead(r)+"</head>"), 1)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(html)
}

// ahead has the browser ask for the watch together with the page, not after its script
// has run: for the width and span this browser asked for last, else for a wide page.
func ahead(r *http.Request) string {
	width, hours, wide := 1200, 24, ` media="(min-width: 1280px)"`
	if c, err := r.Cookie("view"); err == nil {
		a, b, _ := strings.Cut(c.Value, ".")
		w, err1 := strconv.Atoi(a)
		h, err2 := strconv.Atoi(b)
		if err1 == nil && err2 == nil {
			width, hours, wide = w, h, ""
		}
	}
	return fmt.Sprintf(`<link rel="preload" as="fetch" crossorigin href="/api/watch?w=%d&amp;hours=%d&amp;focus="%s>`, width, hours, wide)
}

// coastStep is the grain of the coast as the page gets it, steps a degree. On the map's
// scale of 1 px to 20 km or more it is under a pixel.
const coastStep = 20

// coastFile is the coast lines as rings of whole steps, each point from the one before,
// compressed once. Points that fall on one step are one.
var coastFile = sync.OnceValue(func() file {
	var rings [][]int
	for _, ring := range earth.Coast() {
		var out []int
		px, py := 0, 0
		for _, p := range ring {
			x, y := int(p[0]*coastStep+signed(p[0])), int(p[1]*coastStep+signed(p[1]))
			if len(out) > 0 && x == px && y == py {
				continue
			}
			out = append(out, x-px, y-py)
			px, py = x, y
		}
		if len(out) >= 8 {
			rings = append(rings, out)
		}
	}
	b, err := json.Marshal(struct {
		Step  int     `json:"step"`
		Rings [][]int `json:"rings"`
	}{coastStep, rings})
	if err != nil {
		panic("web: coast: " + err.Error())
	}
	return file{kind: "application/json", plain: b, gz: zip(b), compressed: true}
})

func signed(v float32) float32 {
	if v < 0 {
		return -0.5
	}
	return 0.5
}

func (s *Server) coast(w http.ResponseWriter, r *http.Request) {
	f := coastFile()
	w.Header().Set("Cache-Control", "private, max-age=86400")
	f.serve(w, r)
}
