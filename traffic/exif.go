package traffic

import (
	"bytes"
	"encoding/binary"
	"image"
)

// orientation returns how a camera was held, 1 (upright) to 8, from the EXIF of a
// JPEG; 1 when it says nothing. EXIF is dropped from versions, so the picture
// itself has to be turned.
//
// Source: EXIF 2.3 §4.6.4, tag 0x0112, in TIFF 6.0 form (from memory, high).
func orientation(b []byte) int {
	for at := 2; at+4 <= len(b) && b[at] == 0xff; {
		size := int(binary.BigEndian.Uint16(b[at+2:]))
		if b[at+1] == 0xda || size < 2 || at+2+size > len(b) { // the scan begins: no more markers
			return 1
		}
		if body := b[at+4 : at+2+size]; b[at+1] == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return tiffOrientation(body[6:])
		}
		at += 2 + size
	}
	return 1
}

func tiffOrientation(b []byte) int {
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(b, []byte("II")) {
		order = binary.LittleEndian
	}
	if len(b) < 8 {
		return 1
	}
	at := int64(order.Uint32(b[4:]))
	if at < 8 || at+2 > int64(len(b)) {
		return 1
	}
	n := int64(order.Uint16(b[at:]))
	for i := range n {
		e := at + 2 + 12*i
		if e+12 > int64(len(b)) {
			break
		}
		if order.Uint16(b[e:]) == 0x0112 {
			if v := int(order.Uint16(b[e+8:])); v >= 1 && v <= 8 {
				return v
			}
		}
	}
	return 1
}

// upright turns and mirrors so that the first row is the top.
func upright(src *image.RGBA, orientation int) *image.RGBA {
	if orientation == 1 {
		return src
	}
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	dw, dh := w, h
	if orientation >= 5 { // lying on its side
		dw, dh = h, w
	}
	dst := image.NewRGBA(image.Rect(0, 0, dw, dh))
	for y := range dh {
		for x := range dw {
			sx, sy := x, y
			switch orientation { // where row 0 and column 0 of the stored picture are seen
			case 2: // top, right
				sx = w - 1 - x
			case 3: // bottom, right
				sx, sy = w-1-x, h-1-y
			case 4: // bottom, left
				sy = h - 1 - y
			case 5: // left, top
				sx, sy = y, x
			case 6: // right, top
				sx, sy = y, h-1-x
			case 7: // right, bottom
				sx, sy = w-1-y, h-1-x
			case 8: // left, bottom
				sx, sy = w-1-y, x
			}
			dst.SetRGBA(x, y, src.RGBAAt(sx, sy))
		}
	}
	return dst
}
