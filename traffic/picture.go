package traffic

import (
	"bytes"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math"
	"slices"

	"golang.org/x/image/draw"

	"farhail/unit"
)

// Version is a smaller copy of a picture: JPEG, without EXIF or other riders,
// turned upright.
type Version struct {
	Budget        unit.Bytes // what it had to fit into
	Width, Height int
	Quality       int     // of the JPEG encoder, 1 to 100
	Fidelity      unit.DB // peak signal to noise against the full picture, on the finest grid tried
	Data          []byte
}

const (
	maxPixels   = 50_000_000
	longestEdge = 2048
	leastEdge   = 48
	lowQuality  = 12 // below, blocks are all one sees
	highQuality = 88 // above, octets buy nothing that a link should carry

	// Bits per pixel between which the best balance of size and quality is sought;
	// on every picture tried (see the tests) the best of all sizes lay inside.
	fewestBits, mostBits = 0.20, 2.5
)

// Versions makes one version for each budget, the most faithful that was found:
// for every size between √2 steps the highest quality that fits, then of these the
// one nearest to the original when all are laid over each other.
// The picture given is not changed. A budget that no version meets is an error.
func Versions(picture []byte, budgets []unit.Bytes) ([]Version, error) {
	c, _, err := pictureConfig(picture)
	if err != nil {
		return nil, notPicture(err)
	}
	if n := int64(c.Width) * int64(c.Height); n > maxPixels || n <= 0 {
		return nil, &Error{Fault: PictureTooBig, Got: n, Limit: maxPixels}
	}
	ladder, err := sizes(picture)
	if err != nil {
		return nil, err
	}
	out := make([]Version, 0, len(budgets))
	for _, budget := range budgets {
		v, err := fit(ladder, budget)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

func notPicture(err error) error {
	if e, ok := err.(*Error); ok {
		return e
	}
	return &Error{Fault: NotPicture, Detail: clean(err.Error(), 80)}
}

// decodePicture reads the pixels by the first octets.
func decodePicture(b []byte) (image.Image, error) {
	r := bytes.NewReader(b)
	switch {
	case bytes.HasPrefix(b, []byte("\xff\xd8")):
		return jpeg.Decode(r)
	case bytes.HasPrefix(b, []byte("\x89PNG")):
		return png.Decode(r)
	}
	return gif.Decode(r)
}

// sizes returns the picture upright over white, at most longestEdge long, and then
// smaller by √2 each time down to leastEdge. The last is the smallest.
func sizes(picture []byte) ([]*image.RGBA, error) {
	full, err := decodePicture(picture)
	if err != nil {
		return nil, notPicture(err)
	}
	b := full.Bounds()
	w, h := within(b.Dx(), b.Dy(), longestEdge)
	top := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(top, top.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	if top.Bounds().Size() == b.Size() {
		draw.Draw(top, top.Bounds(), full, b.Min, draw.Over)
	} else {
		draw.CatmullRom.Scale(top, top.Bounds(), full, b, draw.Over, nil)
	}
	top = upright(top, orientation(picture))

	ladder := []*image.RGBA{top}
	w, h = top.Bounds().Dx(), top.Bounds().Dy()
	for edge := float64(max(w, h)) / math.Sqrt2; edge >= leastEdge; edge /= math.Sqrt2 {
		sw, sh := within(w, h, int(math.Round(edge)))
		ladder = append(ladder, rescale(ladder[len(ladder)-1], sw, sh))
	}
	return ladder, nil
}

// within scales w × h down to a longest edge, neither below one pixel.
func within(w, h, edge int) (int, int) {
	if l := max(w, h); l > edge {
		k := float64(edge) / float64(l)
		return max(1, int(math.Round(float64(w)*k))), max(1, int(math.Round(float64(h)*k)))
	}
	return w, h
}

func rescale(src *image.RGBA, w, h int) *image.RGBA {
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.CatmullRom.Scale(dst, dst.Bounds(), src, src.Bounds(), draw.Src, nil)
	return dst
}

// fit finds the best version within a budget.
func fit(ladder []*image.RGBA, budget unit.Bytes) (Version, error) {
	var tried []Version
	var finest *image.RGBA
	for _, img := range ladder {
		w, h := img.Bounds().Dx(), img.Bounds().Dy()
		last := len(tried) == 0 && img == ladder[len(ladder)-1]
		bits := 8 * float64(budget) / float64(w*h)
		if !last && (bits < fewestBits || bits > mostBits && len(tried) > 0) {
			continue
		}
		q, data := highestQuality(img, budget)
		if data == nil {
			continue
		}
		if finest == nil {
			finest = img
		}
		tried = append(tried, Version{Budget: budget, Width: w, Height: h, Quality: q, Data: data})
	}
	if len(tried) == 0 {
		least := encode(ladder[len(ladder)-1], lowQuality)
		return Version{}, &Error{Fault: BudgetTooSmall, Got: int64(len(least)), Limit: int64(budget)}
	}
	for i := range tried {
		tried[i].Fidelity = fidelity(finest, tried[i].Data)
	}
	return slices.MaxFunc(tried, func(a, b Version) int {
		switch {
		case a.Fidelity < b.Fidelity:
			return -1
		case a.Fidelity > b.Fidelity:
			return 1
		}
		return 0
	}), nil
}

// highestQuality searches by halving; length grows with quality but for a few
// octets, so what is kept is always something that was seen to fit.
func highestQuality(img *image.RGBA, budget unit.Bytes) (quality int, data []byte) {
	lo, hi := lowQuality, highQuality
	for lo <= hi {
		q := (lo + hi) / 2
		if d := encode(img, q); unit.Bytes(len(d)) <= budget {
			quality, data, lo = q, d, q+1
		} else {
			hi = q - 1
		}
	}
	return quality, data
}

func encode(img *image.RGBA, quality int) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		panic("traffic: encode picture: " + err.Error()) // only for edges over 65,535
	}
	return b.Bytes()
}

// fidelity lays a version over the finest grid and compares.
//
//	10 log₁₀ (255² / mean square error of the green channel)   [dB]
//
// Green carries 0.59 of the luminance; one channel is enough to rank versions.
func fidelity(reference *image.RGBA, data []byte) unit.DB {
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		panic("traffic: read own picture: " + err.Error())
	}
	up := image.NewRGBA(reference.Bounds())
	draw.BiLinear.Scale(up, up.Bounds(), img, img.Bounds(), draw.Src, nil)
	var sum float64
	for i := 1; i < len(up.Pix); i += 4 {
		d := float64(up.Pix[i]) - float64(reference.Pix[i])
		sum += d * d
	}
	mse := sum / float64(len(up.Pix)/4)
	return unit.RatioDB(255 * 255 / max(mse, 1e-3))
}
