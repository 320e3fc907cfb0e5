package traffic

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"farhail/unit"
)

func noise(n int) []byte {
	b := make([]byte, n)
	rand.NewChaCha8([32]byte{7}).Read(b)
	return b
}

// attached returns mail with one attachment in base64.
func attached(text, kind, name string, data []byte) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%sContent-Type: multipart/mixed; boundary=b\r\n\r\n--b\r\n\r\n%s\r\n--b\r\nContent-Type: %s; name=%s\r\nContent-Disposition: attachment\r\nContent-Transfer-Encoding: base64\r\n\r\n", crlf(plain), text, kind, name)
	for i := 0; i < len(data); i += 57 {
		b.WriteString(base64.StdEncoding.EncodeToString(data[i:min(i+57, len(data))]) + "\r\n")
	}
	b.WriteString("--b--\r\n")
	return b.Bytes()
}

// What cannot be compressed travels as its own octets, not as base64: no less than
// them, and no more than the headers and the framing besides.
func TestPackedAttachment(t *testing.T) {
	for _, n := range []int{3_000, 70_000, 2_000_000} {
		m := mustParse(t, attached("see there", "image/jpeg", "x.jpg", noise(n)))
		if a := m.Attachments; len(a) != 1 || a[0].Size != unit.Bytes(n) || !bytes.Equal(a[0].Bytes(), noise(n)) {
			t.Fatalf("%d octets attached: got %+v", n, a)
		}
		if m.OnAir.Low < unit.Bytes(n) || m.OnAir.Best > unit.Bytes(n)+400 {
			t.Errorf("%d octets of noise: on the air %+v, want %d to %d", n, m.OnAir, n, n+400)
		}
		// Base64 carries 6 bits in 8; an entropy coder takes it back but for its line
		// ends and a few per cent.
		if hi := float64(m.OnAir.High) / float64(n); n >= 70_000 && hi > 1.06 {
			t.Errorf("%d octets of noise: the mail as it came takes %.3f of them, want under 1.06", n, hi)
		}
	}
}

// A table of text is compressed whether it is attached in base64 or not, and about
// as well as an independent compressor does it.
func TestTextAttachment(t *testing.T) {
	var table strings.Builder
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 400 {
		fmt.Fprintf(&table, "2026-11-24T%02d:%02dZ,%.4f,%.4f,Great shearwater,%d,sitting\n", i/60, i%60, 38-float64(i)*0.002, -28-float64(i)*0.004, r.IntN(9))
	}
	csv := table.String()
	var zipped bytes.Buffer
	w, _ := gzip.NewWriterLevel(&zipped, gzip.BestCompression)
	w.Write([]byte(csv))
	w.Close()
	m := mustParse(t, attached("see there", "text/csv", "x.csv", []byte(csv)))
	for name, got := range map[string]unit.Bytes{"low": m.OnAir.Low, "best": m.OnAir.Best} {
		if k := float64(got) / float64(zipped.Len()); k < 0.5 || k > 1.15 {
			t.Errorf("%s: %d octets, deflate at its best makes %d of the table alone; want 0.5 to 1.15 of that", name, got, zipped.Len())
		}
	}
}

func TestSizeIsARange(t *testing.T) {
	for name, raw := range map[string][]byte{
		"empty text": crlf(plain + "\n"),
		"short":      crlf(plain + "\nAll well.\n"),
		"HTML":       crlf(plain + "Content-Type: text/html\n\n<p>All well.</p>\n"),
		"long":       crlf(plain + "\n" + strings.Repeat("All well, wind 12 kn.\n", 40_000)),
		"noise":      attached("x", "application/zip", "x.zip", noise(300_000)),
	} {
		m := mustParse(t, raw)
		s := m.OnAir
		if !(Framing < s.Low && s.Low <= s.Best && s.Best <= s.High) {
			t.Errorf("%s: %+v is no range above %d", name, s, Framing)
		}
		if again := m.measure(); again != s {
			t.Errorf("%s: measured again %+v, was %+v", name, again, s)
		}
		if u, _ := Parse(raw, Options{Unmeasured: true}); u.OnAir != (Size{}) || u.ID != m.ID {
			t.Errorf("%s: unmeasured: size %+v, ID %s; want none and %s", name, u.OnAir, u.ID, m.ID)
		}
	}
}

// Nothing a reader needs is left out of what is measured.
func TestCanonicalIsWhole(t *testing.T) {
	raw := crlf("Received: from m by n\nX-Mailer: y\nFrom: a@x.example\nTo: b@y.example\nCc: c@z.example\nSubject: s\nDate: Wed, 25 Nov 2026 17:02:00 +0000\nMessage-ID: <1@x.example>\n" +
		"Content-Type: multipart/mixed; boundary=b\n\n--b\nContent-Type: multipart/alternative; boundary=c\n\n--c\n\nabc\n--c\nContent-Type: text/html\n\n<p>abc</p>\n--c--\n--b\nContent-Type: text/csv; name=t.csv\n\n" +
		strings.Repeat("1,2,3\n", 30) + "--b\nContent-Type: image/png; name=p.png\nContent-Transfer-Encoding: base64\n\n" + base64.StdEncoding.EncodeToString(noise(500)) + "\n--b--\n")
	text, packed := mustParse(t, raw).canonical()
	for _, want := range []string{"From: a@x.example", "To: b@y.example", "Cc: c@z.example", "Subject: s", "Date: Wed, 25", "Message-Id: <1@x.example>", "\nabc", "<p>abc</p>", "t.csv", "1,2,3\r\n1,2,3", "p.png image/png 500"} {
		if !bytes.Contains(text, []byte(want)) {
			t.Errorf("the canonical text lacks %q:\n%s", want, text)
		}
	}
	for _, not := range []string{"Received", "X-Mailer", "multipart"} {
		if bytes.Contains(text, []byte(not)) {
			t.Errorf("the canonical text carries %q:\n%s", not, text)
		}
	}
	if len(packed) != 1 || !bytes.Equal(packed[0], noise(500)) {
		t.Errorf("packed attachments: %d, want the one picture", len(packed))
	}
}

func FuzzParse(f *testing.F) {
	f.Add(crlf(plain + "\nabc\n"))
	f.Add(nested(4))
	f.Add(attached("abc", "image/jpeg", "x.jpg", []byte("\xff\xd8\xff\xe0\x00\x10JFIF")))
	f.Add([]byte("To: =?utf-8?b?w6k=?= <b@y.example>\nContent-Type: text/html; charset=\"utf-7\"\nContent-Transfer-Encoding: quoted-printable\n\n<p>=C3=A9=\n=zz"))
	f.Add([]byte("To: b\nContent-Type: multipart/x; boundary=\"a b\"; boundary*0=c\n\n --a b\r--a b\nContent-Disposition: attachment; filename*=utf-8''..%2f\n\nx\n--a b--"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		before := bytes.Clone(raw)
		o := Options{Unmeasured: len(raw)%16 != 0} // compressing is slow under the fuzzer
		m, err := Parse(raw, o)
		if !bytes.Equal(raw, before) {
			t.Fatal("the raw bytes were changed")
		}
		if err != nil {
			if m != nil {
				t.Fatalf("an error and a message: %v", err)
			}
			if s := err.Error(); strings.Contains(s, "\n") || len(s) > 400 {
				t.Fatalf("not one clear sentence: %q", s)
			}
			return
		}
		if len(m.To) == 0 || len(m.ID) != 12 || m.Precedence == Unset || m.OnAir.Low > m.OnAir.Best || m.OnAir.Best > m.OnAir.High {
			t.Fatalf("accepted but not whole: %+v", m)
		}
		for _, a := range m.Attachments {
			if a.Name == "" || strings.ContainsAny(a.Name, "/\\\x00\n") || a.Size != unit.Bytes(len(a.Bytes())) {
				t.Fatalf("attachment %q of %d octets", a.Name, a.Size)
			}
		}
		if again, _ := Parse(raw, o); again.ID != m.ID || again.OnAir != m.OnAir || !Duplicate(m, again) {
			t.Fatal("read twice, not the same")
		}
	})
}

func BenchmarkParse(b *testing.B) {
	big := attached("see there", "image/jpeg", "x.jpg", noise(2_000_000))
	small := crlf(plain + "\n" + strings.Repeat("Wind 240 12 kn, sea 1.2 m, 1018 hPa falling.\n", 30))
	for _, c := range []struct {
		name string
		raw  []byte
		o    Options
	}{
		{"2MB/read", big, Options{Unmeasured: true}}, {"2MB/measured", big, Options{}},
		{"1kB/read", small, Options{Unmeasured: true}}, {"1kB/measured", small, Options{}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(c.raw)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(c.raw, c.o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCompress(b *testing.B) {
	text := []byte(strings.Repeat("Wind 240 12 kn, sea 1.2 m, 1018 hPa falling. ", 500))
	for _, n := range []int{1_000, 20_000} {
		b.Run(fmt.Sprintf("brotli/%d", n), func(b *testing.B) {
			for b.Loop() {
				brotliLen(text[:n])
			}
		})
		b.Run(fmt.Sprintf("zstd/%d", n), func(b *testing.B) {
			for b.Loop() {
				zstdLen(text[:n])
			}
		})
	}
}
