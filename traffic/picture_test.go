package traffic

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/draw"

	"farhail/unit"
)

// scene draws a picture with smooth shading, hard edges, fine lines and grain.
func scene(w, h int, grain float64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	r := rand.New(rand.NewPCG(3, uint64(w)))
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			l := 110 + 60*math.Sin(5*u)*math.Cos(4*v) + grain*r.NormFloat64()
			if d := math.Hypot(u-0.6, v-0.5); d < 0.22 {
				l = 50 + 300*d
			}
			if math.Mod(u*40, 1) < 0.1 && v > 0.8 {
				l = 20
			}
			img.SetRGBA(x, y, color.RGBA{uint8(min(max(l*1.1, 0), 255)), uint8(min(max(l, 0), 255)), uint8(min(max(l*0.8, 0), 255)), 255})
		}
	}
	return img
}

func asJPEG(t testing.TB, img image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestVersionsMeetBudgets(t *testing.T) {
	budgets := []unit.Bytes{3_000, 10_000, 30_000, 100_000}
	for name, img := range map[string]image.Image{
		"smooth": scene(900, 700, 0), "grainy": scene(1000, 600, 18), "tall": scene(300, 1400, 5), "small": scene(120, 90, 3), "thread": scene(1500, 3, 0),
	} {
		original := asJPEG(t, img, 95)
		before := bytes.Clone(original)
		list, err := Versions(original, budgets)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !bytes.Equal(original, before) {
			t.Errorf("%s: the original was changed", name)
		}
		last := unit.DB(0)
		for i, v := range list {
			c, kind, err := pictureConfig(v.Data)
			if err != nil || kind != "image/jpeg" || c.Width != v.Width || c.Height != v.Height {
				t.Errorf("%s in %d: %v %s %d × %d, said %d × %d", name, v.Budget, err, kind, c.Width, c.Height, v.Width, v.Height)
			}
			if v.Budget != budgets[i] || unit.Bytes(len(v.Data)) > v.Budget {
				t.Errorf("%s: %d octets for a budget of %d", name, len(v.Data), budgets[i])
			}
			w, h := img.Bounds().Dx(), img.Bounds().Dy()
			if v.Width > w || v.Height > h || math.Abs(float64(v.Width*h-v.Height*w)) > float64(max(w, h)) {
				t.Errorf("%s in %d: %d × %d of %d × %d is out of shape", name, v.Budget, v.Width, v.Height, w, h)
			}
			// More octets never give a worse picture, all seen at full size.
			full := image.NewRGBA(img.Bounds())
			draw.Draw(full, full.Bounds(), img, image.Point{}, draw.Src)
			if f := fidelity(full, v.Data); f < last-0.3 {
				t.Errorf("%s in %d: %.2f dB, the smaller budget gave %.2f", name, v.Budget, f, last)
			} else {
				last = f
			}
		}
	}
}

// The bounds on bits per pixel are there for speed; against trying every size they
// cost at most half a decibel on any of these.
func TestSearchAgainstAllSizes(t *testing.T) {
	for _, grain := range []float64{0, 6, 20} {
		ladder, err := sizes(asJPEG(t, scene(800, 600, grain), 95))
		if err != nil {
			t.Fatal(err)
		}
		for _, budget := range []unit.Bytes{2_500, 8_000, 25_000, 80_000} {
			v, err := fit(ladder, budget)
			if err != nil {
				t.Fatal(err)
			}
			best, at := unit.DB(0), 0
			for _, img := range ladder {
				if _, data := highestQuality(img, budget); data != nil {
					if f := fidelity(ladder[0], data); f > best {
						best, at = f, img.Bounds().Dx()
					}
				}
			}
			got := fidelity(ladder[0], v.Data)
			t.Logf("grain %g, %d octets: %d wide at quality %d, %.2f dB; of all sizes %d wide, %.2f dB", grain, budget, v.Width, v.Quality, got, at, best)
			if got < best-0.5 {
				t.Errorf("grain %g, %d octets: %.2f dB with %d wide, trying all gives %.2f with %d wide; tolerance 0.5 dB", grain, budget, got, v.Width, best, at)
			}
		}
	}
}

// withEXIF puts an orientation, and a text that must not travel, into a JPEG.
func withEXIF(jpg []byte, orientation uint16, order binary.AppendByteOrder) []byte {
	tiff := []byte("MM\x00\x2a\x00\x00\x00\x08")
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		tiff = []byte("II\x2a\x00\x08\x00\x00\x00")
	}
	tiff = order.AppendUint16(tiff, 1)
	tiff = order.AppendUint16(tiff, 0x0112)
	tiff = order.AppendUint16(tiff, 3) // SHORT
	tiff = order.AppendUint32(tiff, 1)
	tiff = order.AppendUint16(tiff, orientation)
	tiff = append(tiff, "\x00\x00\x00\x00\x00\x00SECRET PLACE 38.52N 28.63W"...)
	body := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte("\xff\xd8\xff\xe1"), binary.BigEndian.AppendUint16(nil, uint16(len(body)+2))...)
	return append(append(out, body...), jpg[2:]...)
}

// A camera held in any of eight ways shows the same scene upright, and nothing of
// the EXIF travels.
func TestUpright(t *testing.T) {
	// Quarters: dark, light / grey, white, as they are to be seen in 200 × 120.
	want := [4]uint8{0, 90, 170, 250}
	seen := image.NewRGBA(image.Rect(0, 0, 200, 120))
	for y := range 120 {
		for x := range 200 {
			l := want[y/60*2+x/100]
			seen.SetRGBA(x, y, color.RGBA{l, l, l, 255})
		}
	}
	for o := uint16(1); o <= 8; o++ {
		stored := storedAs(seen, int(o))
		for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
			list, err := Versions(withEXIF(asJPEG(t, stored, 95), o, order), []unit.Bytes{20_000})
			if err != nil {
				t.Fatalf("orientation %d: %v", o, err)
			}
			v := list[0]
			img, err := jpeg.Decode(bytes.NewReader(v.Data))
			if err != nil || v.Width <= v.Height || bytes.Contains(v.Data, []byte("Exif")) || bytes.Contains(v.Data, []byte("SECRET")) {
				t.Fatalf("orientation %d: %d × %d, %v, or EXIF was kept", o, v.Width, v.Height, err)
			}
			for q, l := range want {
				x, y := v.Width/4+q%2*v.Width/2, v.Height/4+q/2*v.Height/2
				if g := color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y; math.Abs(float64(g)-float64(l)) > 12 {
					t.Errorf("orientation %d (%v): quarter %d is %d, want %d within 12", o, order, q, g, l)
				}
			}
		}
	}
}

// storedAs is what a camera stores for a scene: by the definition of the tag, row 0
// and column 0 of what is stored are seen at the named sides.
func storedAs(seen *image.RGBA, orientation int) *image.RGBA {
	w, h := seen.Bounds().Dx(), seen.Bounds().Dy()
	sides := [9]struct{ row, col string }{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}[orientation]
	rows, cols := h, w
	if sides.row == "left" || sides.row == "right" {
		rows, cols = w, h
	}
	out := image.NewRGBA(image.Rect(0, 0, cols, rows))
	for r := range rows {
		for c := range cols {
			x, y := 0, 0
			for side, n := range map[string]int{sides.row: r, sides.col: c} { // n lines in from that side
				switch side {
				case "top":
					y = n
				case "bottom":
					y = h - 1 - n
				case "left":
					x = n
				case "right":
					x = w - 1 - n
				}
			}
			out.SetRGBA(c, r, seen.RGBAAt(x, y))
		}
	}
	return out
}

func TestOtherKinds(t *testing.T) {
	clear := image.NewNRGBA(image.Rect(0, 0, 80, 60)) // nothing but transparent
	var p, g bytes.Buffer
	if err := png.Encode(&p, clear); err != nil {
		t.Fatal(err)
	}
	if err := gif.Encode(&g, scene(80, 60, 0), nil); err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"PNG": p.Bytes(), "GIF": g.Bytes()} {
		list, err := Versions(b, []unit.Bytes{4_000})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		img, err := jpeg.Decode(bytes.NewReader(list[0].Data))
		if err != nil {
			t.Fatal(err)
		}
		if r, _, _, _ := img.At(40, 30).RGBA(); name == "PNG" && r < 0xfa00 {
			t.Errorf("a transparent picture is laid over %#x, want white", r)
		}
	}
}

func TestPictureRefused(t *testing.T) {
	good := asJPEG(t, scene(200, 150, 3), 90)
	var bomb bytes.Buffer // 30,000 × 30,000 in a few octets of header
	if err := png.Encode(&bomb, image.NewGray(image.Rect(0, 0, 8, 8))); err != nil {
		t.Fatal(err)
	}
	huge := bomb.Bytes()
	for _, i := range []int{16, 20} {
		binary.BigEndian.PutUint32(huge[i:], 30_000)
	}
	binary.BigEndian.PutUint32(huge[29:], crcPNG(huge[12:29]))
	for name, c := range map[string]struct {
		b      []byte
		budget unit.Bytes
		fault  Fault
	}{
		"nothing": {nil, 5000, NotPicture}, "text": {[]byte("hello"), 5000, NotPicture}, "cut": {good[:len(good)/2], 5000, NotPicture},
		"only a start": {good[:3], 5000, NotPicture}, "too many pixels": {huge, 5000, PictureTooBig}, "300 octets": {good, 300, BudgetTooSmall}, "no octets": {good, 0, BudgetTooSmall}, "minus one": {good, -1, BudgetTooSmall},
	} {
		list, err := Versions(c.b, []unit.Bytes{50_000, c.budget})
		var e *Error
		if !errors.As(err, &e) || e.Fault != c.fault || list != nil {
			t.Errorf("%s: got %d versions, %v; want fault %d", name, len(list), err, c.fault)
		}
		if e != nil && e.Fault == BudgetTooSmall { // what the sentence promises holds
			if _, err := Versions(c.b, []unit.Bytes{unit.Bytes(e.Got)}); err != nil {
				t.Errorf("%s: with the %d octets it asks for: %v", name, e.Got, err)
			}
		}
	}
}

// crcPNG is the checksum of a PNG chunk, bit by bit (PNG specification, annex D).
func crcPNG(b []byte) uint32 {
	c := ^uint32(0)
	for _, v := range b {
		c ^= uint32(v)
		for range 8 {
			c = c>>1 ^ 0xedb88320&-(c&1)
		}
	}
	return ^c
}

func FuzzOrientation(f *testing.F) {
	small := []byte("\xff\xd8\xff\xda\x00\x02")
	f.Add(withEXIF(small, 6, binary.BigEndian))
	f.Add(withEXIF(small, 3, binary.LittleEndian))
	f.Fuzz(func(t *testing.T, b []byte) {
		if o := orientation(b); o < 1 || o > 8 {
			t.Fatalf("orientation %d", o)
		}
	})
}

func BenchmarkVersions(b *testing.B) {
	picture := asJPEG(b, scene(1920, 1440, 20), 95)
	b.Logf("picture of %d octets", len(picture))
	for b.Loop() {
		if _, err := Versions(picture, []unit.Bytes{6_000, 18_000, 60_000}); err != nil {
			b.Fatal(err)
		}
	}
}
