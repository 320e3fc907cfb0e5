package traffic

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"strings"
	"testing"

	"farhail/unit"
)

// A message with a smaller picture reads back as the same letter: same people, subject,
// text and date, the picture within its budget, and the original as it was.
func TestWithPictures(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for i := range img.Pix {
		img.Pix[i] = byte(i * 7919 >> 3)
	}
	img.Set(0, 0, color.White)
	var pic bytes.Buffer
	if err := jpeg.Encode(&pic, img, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	first := &Message{ID: "abc", From: []string{"ines@saltmarsh.example"}, To: []string{"yard@cabolume.example"}, Subject: "The bearing — see", Text: "Look at the lower race.\n"}
	first.Attachments = []Attachment{{Name: "bearing.jpg", Type: "image/jpeg", data: pic.Bytes(), Size: 0, Picture: true}, {Name: "notes.txt", Type: "text/plain", data: []byte("4 mm of play")}}
	raw, err := WithPictures(first, nil)
	if err != nil {
		t.Fatal(err)
	}
	m, err := Parse(raw, Options{})
	if err != nil {
		t.Fatal(err)
	}
	vs, err := Versions(m.Attachments[0].Bytes(), []unit.Bytes{9000})
	if err != nil {
		t.Fatal(err)
	}
	keep := bytes.Clone(m.Raw)
	small, err := WithPictures(m, map[int]Version{0: vs[0]})
	if err != nil {
		t.Fatal(err)
	}
	n, err := Parse(small, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n.Subject != first.Subject || strings.TrimSpace(n.Text) != strings.TrimSpace(first.Text) || n.To[0] != first.To[0] || len(n.Attachments) != 2 || string(n.Attachments[1].Bytes()) != "4 mm of play" {
		t.Errorf("read back as %+v", n)
	}
	if got := len(n.Attachments[0].Bytes()); got > 9000 || got == 0 {
		t.Errorf("picture of %d octets, budget 9000", got)
	}
	if n.ID == m.ID || n.OnAir.Best >= m.OnAir.Best {
		t.Errorf("ids %s %s, on the air %d of %d", n.ID, m.ID, n.OnAir.Best, m.OnAir.Best)
	}
	if !bytes.Equal(keep, m.Raw) {
		t.Error("the original was changed")
	}
}
