package mail

import (
	"bytes"
	"image"
	"image/jpeg"
)

// Bearing returns the photograph of the lower rudder bearing, about 2 MB of JPEG.
func Bearing() []byte {
	c := canvas{image.NewYCbCr(image.Rect(0, 0, 1920, 1440), image.YCbCrSubsampleRatio420), 0x51a7}
	c.paint(c.bearing)
	return c.jpeg(97)
}

// Petrel returns the photograph of a storm petrel over a swell, about 100 kB.
func Petrel() []byte {
	c := canvas{image.NewYCbCr(image.Rect(0, 0, 800, 600), image.YCbCrSubsampleRatio420), 0x9e37}
	c.paint(c.petrel)
	return c.jpeg(90)
}

// canvas is a picture in luminance and colour difference, with a seed for its grain.
type canvas struct {
	*image.YCbCr
	seed uint32
}

// shade is the colour of one place: luminance, blue and red difference about 0,
// and how coarse its grain is, in steps of luminance.
type shade struct{ y, cb, cr, grain int32 }

// paint asks for every second pixel and lays grain over each.
func (c canvas) paint(at func(x, y int32) shade) {
	b := c.Bounds()
	r := c.seed | 1
	for y := 0; y < b.Dy(); y += 2 {
		for x := 0; x < b.Dx(); x += 2 {
			s := at(int32(x), int32(y))
			i := c.COffset(x, y)
			c.Cb[i], c.Cr[i] = octet(128+s.cb), octet(128+s.cr)
			for _, j := range [4]int{c.YOffset(x, y), c.YOffset(x+1, y), c.YOffset(x, y+1), c.YOffset(x+1, y+1)} {
				r ^= r << 13
				r ^= r >> 17
				r ^= r << 5
				c.Y[j] = octet(s.y + int32(r&0xffff)*s.grain>>16 - s.grain/2)
			}
		}
	}
}

func octet(v int32) uint8 { return uint8(min(max(v, 0), 255)) }

func (c canvas) jpeg(quality int) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, c.YCbCr, &jpeg.Options{Quality: quality}); err != nil {
		panic("mail: encode picture: " + err.Error())
	}
	return b.Bytes()
}

// cloud is a smooth field from 0 to 255 with lumps of 2^k pixels.
func (c canvas) cloud(x, y int32, k uint) int32 {
	gx, gy := x>>k, y>>k
	fx, fy := x&(1<<k-1), y&(1<<k-1)
	top := c.knot(gx, gy)<<k + (c.knot(gx+1, gy)-c.knot(gx, gy))*fx
	bot := c.knot(gx, gy+1)<<k + (c.knot(gx+1, gy+1)-c.knot(gx, gy+1))*fx
	return (top>>k)*(1<<k-fy)>>k + (bot>>k)*fy>>k
}

func (c canvas) knot(x, y int32) int32 {
	h := uint32(x)*0x9e3779b1 ^ uint32(y)*0x85ebca77 ^ c.seed
	h ^= h >> 15
	h *= 0x2c1b3c6d
	h ^= h >> 13
	return int32(h & 255)
}

// bearing: a bronze ring around a dark stock in painted steel, a crack from the
// ring outwards, four bolts, rust under them, a torch from the upper left.
func (c canvas) bearing(x, y int32) shade {
	const cx, cy = 1010, 690
	dx, dy := x-cx, y-cy
	r2 := dx*dx + dy*dy
	lamp := 60 - (x+y)/36
	lumps := c.cloud(x, y, 7)/6 + c.cloud(x, y, 4)/10
	crack := c.cloud(x, 0, 5)/4 - 30 + dx/5
	switch {
	case r2 < 190*190:
		return shade{42 + lumps/2 + lamp/4, 2, -2, 46}
	case r2 < 205*205:
		return shade{20, 0, 0, 24} // the gap that should not be there
	case r2 < 330*330:
		glint := int32(0)
		if (dx+dy)*(dx+dy) < 60*60*2 && dx < 0 {
			glint = 60
		}
		if dx > 0 && abs(dy-crack) < 4 {
			return shade{18, 4, 4, 20}
		}
		return shade{96 + lumps + lamp/2 + glint, -34, 22, 52}
	}
	for _, b := range [4][2]int32{{-330, -330}, {330, -330}, {-330, 330}, {330, 330}} {
		bx, by := dx-b[0], dy-b[1]
		switch d := bx*bx + by*by; {
		case d < 44*44:
			return shade{120 + (bx+by)/-2 + lamp/3, -6, 8, 50}
		case abs(bx) < 30+lumps/2 && by > 0 && by < 260+2*lumps:
			return shade{84 + lumps/2 + lamp/2, -24, 34 - by/16, 54} // rust
		}
	}
	return shade{112 + lumps + lamp, 6, -12, 50}
}

// petrel: a grey swell under an even sky and one small dark bird.
func (c canvas) petrel(x, y int32) shade {
	bx, by := x-470, y-262
	body := (bx-4)*(bx-4)*2+by*by*14 < 2300
	wing := abs(bx) < 96 && abs(by+8+abs(bx)/4-bx*bx/300) < 8-abs(bx)/14
	switch {
	case (bx+24)*(bx+24)+by*by*2 < 52:
		return shade{206, 0, 0, 10} // the white rump
	case body, wing:
		return shade{40 + c.cloud(x, y, 3)/16, 2, 2, 12}
	case y < 216:
		return shade{182 - y/12 + c.cloud(x, y, 7)/16, 10, -6, 8}
	}
	depth := y - 216 // waves grow towards us
	far, near := c.cloud(x, y*3, 3)-128, c.cloud(x+y/2, y*3, 6)-128
	wave := (far*max(0, 200-depth) + near*min(depth, 200)) / 200
	return shade{108 + depth/14 + wave/4 + c.cloud(x, y*2, 5)/8, 12, -14, 16}
}

func abs(v int32) int32 { return max(v, -v) }
