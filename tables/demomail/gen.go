//go:build ignore

// gen writes the letters of the demo worlds to desk/demo/mail. See SOURCE.md.
package main

import (
	"encoding/base64"
	"fmt"
	"log"
	"mime/quotedprintable"
	"os"
	"path/filepath"
	"strings"
)

const out = "desk/demo/mail"

// letter is one message before it is put into mail form.
type letter struct {
	file    string
	headers []string // all but those of MIME
	text    string   // UTF-8
	charset string   // "" for ASCII, else how the text is coded
	html    string
	parts   []part
}

type part struct{ kind, name, coding, body string } // coding "base64", "7bit" or "picture"

func main() {
	log.SetFlags(0)
	write("saltmarsh", saltmarsh())
	write("tamarind", tamarind())
}

func write(world string, letters []letter) {
	dir := filepath.Join(out, world)
	old, err := filepath.Glob(filepath.Join(dir, "*.eml"))
	check(err)
	for _, f := range old {
		check(os.Remove(f))
	}
	check(os.MkdirAll(dir, 0o755))
	for _, l := range letters {
		check(os.WriteFile(filepath.Join(dir, l.file), []byte(l.mail()), 0o644))
	}
}

func check(err error) {
	if err != nil {
		log.Fatal("write demo mail: ", err)
	}
}

// mail puts a letter into RFC 5322 form with CRLF line ends.
func (l letter) mail() string {
	head := strings.Join(l.headers, "\n") + "\n"
	body := l.body()
	if len(l.parts) > 0 {
		b := "=_" + strings.TrimSuffix(l.file, ".eml")
		head += "MIME-Version: 1.0\nContent-Type: multipart/mixed; boundary=\"" + b + "\"\n\n"
		head += "--" + b + "\n" + body
		for _, p := range l.parts {
			head += "\n--" + b + "\n" + p.mail()
		}
		head += "\n--" + b + "--\n"
	} else if l.charset == "" && l.html == "" {
		head += "\n" + l.text
	} else {
		head += "MIME-Version: 1.0\n" + body
	}
	return strings.ReplaceAll(head, "\n", "\r\n")
}

func (l letter) body() string {
	plain := textPart("plain", l.charset, l.text)
	switch {
	case l.html == "":
		return plain
	case l.text == "":
		return textPart("html", "utf-8", l.html)
	}
	b := "=_alt-" + strings.TrimSuffix(l.file, ".eml")
	return "Content-Type: multipart/alternative; boundary=\"" + b + "\"\n\n--" + b + "\n" + plain +
		"\n--" + b + "\n" + textPart("html", "utf-8", l.html) + "\n--" + b + "--\n"
}

func textPart(kind, charset, text string) string {
	switch charset {
	case "":
		return "Content-Type: text/" + kind + "; charset=us-ascii\n\n" + text
	case "8bit": // as some mail programs still send it
		return "Content-Type: text/" + kind + "; charset=utf-8\nContent-Transfer-Encoding: 8bit\n\n" + text
	case "windows-1252":
		var raw []byte
		for _, r := range text { // the letters used here lie below 256
			raw = append(raw, byte(r))
		}
		text = string(raw)
	}
	var b strings.Builder
	w := quotedprintable.NewWriter(&b)
	w.Write([]byte(text))
	w.Close()
	return "Content-Type: text/" + kind + "; charset=" + charset + "\nContent-Transfer-Encoding: quoted-printable\n\n" +
		strings.ReplaceAll(b.String(), "\r\n", "\n")
}

func (p part) mail() string {
	s := fmt.Sprintf("Content-Type: %s; name=%q\nContent-Disposition: attachment; filename=%q\n", p.kind, p.name, p.name)
	switch p.coding {
	case "7bit":
		return s + "\n" + p.body
	case "picture":
		return s + "Content-Transfer-Encoding: base64\n\n" + p.body + "\n"
	}
	s += "Content-Transfer-Encoding: base64\n\n"
	code := base64.StdEncoding.EncodeToString([]byte(p.body))
	for len(code) > 76 {
		s, code = s+code[:76]+"\n", code[76:]
	}
	return s + code + "\n"
}

// dice is a fixed sequence for the tables (the multiplier of Knuth, MMIX).
type dice uint64

func (d *dice) roll(n int) int {
	*d = *d*6364136223846793005 + 1442695040888963407
	return int(uint64(*d)>>33) % n
}

// counts is a day of seabird transects in ten-minute bins.
func counts() string {
	birds := []string{"Cory's shearwater", "Great shearwater", "Sooty shearwater", "Leach's storm petrel", "Wilson's storm petrel", "Great skua", "Sabine's gull", "Grey phalarope"}
	behaviour := []string{"flying SW", "flying S", "sitting", "feeding", "following"}
	d := dice(118)
	var b strings.Builder
	b.WriteString("utc,lat,lon,species,adults,immature,behaviour,distance_m,wind_kn,sea_state,observer\n")
	for bin := range 60 {
		min := 8*60 + 50 + 10*bin
		for range 2 + d.roll(5) {
			fmt.Fprintf(&b, "2026-11-24T%02d:%02dZ,%.4f,%.4f,%s,%d,%d,%s,%d,%d,%d,%s\n", min/60, min%60,
				38.75-float64(bin)*0.0038, -28.20-float64(bin)*0.0071, birds[d.roll(len(birds))], 1+d.roll(14), d.roll(4),
				behaviour[d.roll(len(behaviour))], 20+10*d.roll(29), 9+d.roll(9), 2+d.roll(3), []string{"IN", "TR", "MK"}[d.roll(3)])
		}
	}
	return b.String()
}

// track is the ship's position every five minutes with course, speed and weather.
func track() string {
	d := dice(7)
	var b strings.Builder
	b.WriteString("utc,lat,lon,course_deg,speed_kn,wind_from_deg,wind_kn,pressure_hpa,air_c,sea_c\n")
	lat, lon := 38.9012, -27.9120
	for i := range 288 {
		lat, lon = lat-0.0012-float64(d.roll(6))/1e4, lon-0.0022-float64(d.roll(8))/1e4
		fmt.Fprintf(&b, "2026-11-24T%02d:%02dZ,%.4f,%.4f,%03d,%d.%d,%03d,%d,%d.%d,%d.%d,18.%d\n", i/12, i%12*5, lat, lon,
			238+d.roll(14), 3+d.roll(3), d.roll(10), 20+10*d.roll(5), 8+d.roll(10), 1017+i/96, d.roll(10), 15+d.roll(4), d.roll(10), 2+d.roll(5))
	}
	return b.String()
}

// people is the list of those who look for somebody, as the posts sent it in.
func people() string {
	given := []string{"Amara", "Beno", "Chipo", "Dalitso", "Esnart", "Faraz", "Grace", "Hamisi", "Ilo", "Jabu", "Khama", "Lute", "Mercy", "Neema", "Oto", "Pili"}
	family := []string{"Banda-Reed", "Chirwe", "Dombo", "Fulani-Moss", "Gondwe", "Kalua", "Lungo", "Mbewa", "Nyeri", "Phoko", "Tembani", "Zumo"}
	place := []string{"school", "church hall", "mill", "with kin", "clinic", "not known"}
	d := dice(35)
	var b strings.Builder
	b.WriteString("number,name,age,last seen at,seen on,now at,asked for by post\n")
	for i := range 140 {
		fmt.Fprintf(&b, "%d,%s %s,%d,post %d,2026-11-%02d,%s,%d\n", i+1, given[d.roll(16)], family[d.roll(12)], 1+d.roll(80), 1+d.roll(9), 19+d.roll(6), place[d.roll(6)], 1+d.roll(9))
	}
	return b.String()
}

const ketch = "Saltmarsh <qx2sm@saltmarsh.example>"

// head is the start of a letter's headers.
func head(from, to, subject, date, id string, more ...string) []string {
	h := []string{"From: " + from, "To: " + to, "Subject: " + subject, "Date: " + date + " +0000"}
	if id != "" {
		h = append(h, "Message-ID: <"+id+">")
	}
	return append(h, more...)
}

func saltmarsh() []letter {
	return []letter{{
		file:    "01-position.eml",
		headers: head("qx2sm@saltmarsh.example", "shore@saltmarsh.example", "Position 17:00", "Wed, 25 Nov 2026 17:02:00", ""),
		text: `QX2SM 251700Z 38 31.2N 028 37.9W
At anchor, sailing 26th 0600Z.
Wind 240 12 kn, sea 1.2 m, 1018 hPa falling slowly, air 17.
Five aboard, all well.
`,
	}, {
		file: "02-rudder-question.eml",
		headers: head(ketch, "Yard Cabo Lume <yard@cabolume.example>", "Rudder bearing: what would you do?", "Wed, 25 Nov 2026 15:40:00", "r1.251540@saltmarsh.example",
			"MMHS-Primary-Precedence: immediate", "Reply-By: Thu, 26 Nov 2026 05:00:00 +0000"),
		text: `Anton,

We dived on the rudder this afternoon because of the knock I wrote about on
Sunday. The lower bearing has a crack from the bore outwards on the after side,
about 70 mm long, and there is a gap of 3 to 4 mm all round the stock where we
remember one. With the helm put over hard by hand the stock moves and one hears
it. The two upper bolts turn with a spanner, the lower two do not. No water
comes in at the gland.

We have aboard: two stainless hose clamps that would go round the housing, 60 mm
bronze strip 5 mm thick and 1.4 m long, epoxy and cloth, a hand drill, taps for
M8 and M10, and forty metres of thin aramid line. There is no slip here that
takes us before the 9th.

The questions, in order:
1. Would you sail 1,400 miles to Pedra Alta on it, off the wind, trades 15 to 20?
2. If yes, is a strap round the housing worth more than leaving it alone?
3. If no, can Tome send a bearing to the island, and what would you need measured?

The weather lets us go at first light tomorrow and then not for five days, so an
answer by 0500Z would be worth a lot. The photograph follows when there is
enough sky for it; do not wait for it.

Ines
`,
	}, {
		file: "03-bearing-photograph.eml",
		headers: head(ketch, "Yard Cabo Lume <yard@cabolume.example>", "Photograph of the bearing", "Wed, 25 Nov 2026 15:58:00", "r2.251558@saltmarsh.example",
			"In-Reply-To: <r1.251540@saltmarsh.example>", "MMHS-Primary-Precedence: priority", "Latest-Delivery-Time: Thu, 26 Nov 2026 12:00:00 +0000"),
		text: `Lower bearing from astern, torch from the left. The crack runs to the right of
the stock. A small version will do if one can see whether it reaches the edge.
`,
		parts: []part{{"image/jpeg", "bearing.jpg", "picture", "@bearing@"}},
	}, {
		file: "04-crew-list.eml",
		headers: head(ketch, "Harbour office <port@pedraalta.example>", "Crew list and arrival of Saltmarsh", "Wed, 25 Nov 2026 10:12:00", "a1.251012@saltmarsh.example",
			"Cc: agent@pedraalta.example", "MT-Priority: 1", "Expires: Sat, 28 Nov 2026 12:00:00 +0000"),
		text: `Good day,

please find the crew list of the research ketch Saltmarsh, call QX2SM, 17 m,
draught 2.1 m. We expect to arrive at Pedra Alta about 6 December and ask for a
place at anchor north of the mole, and for the health form to be sent to us.

No animals, no arms, no sickness aboard. Instruments are listed in the paper you
have from September.

With thanks
Ines Arriaga-Holt, skipper
`,
		parts: []part{{"text/csv", "crew.csv", "base64", "name,first name,born,nationality,paper,rank\n" +
			"Arriaga-Holt,Ines,1984-03-11,invented,X-204-118,skipper\nRoebuck,Tom,1991-07-30,invented,X-204-377,mate\n" +
			"Kestrel-Vane,Mila,1996-01-05,invented,X-311-002,observer\nOduya-Marsh,Ben,1979-10-22,invented,X-120-950,engineer\nSorrel,Jo,2001-05-17,invented,X-402-733,observer\n"}},
	}, {
		file: "05-burnt-hand.eml",
		headers: head(ketch, "Doctor Merrow Head <doctor@merrow.example>", "Scald on a hand, two days old", "Wed, 25 Nov 2026 16:31:00", "m1.251631@saltmarsh.example",
			"MT-Priority: 2", "Reply-By: Thu, 26 Nov 2026 06:00:00 +0000"),
		text: `Patient: woman, 25, no illness, no medicines, no allergy known.
Monday about noon boiling water over the back of the left hand and two fingers.
Cooled twenty minutes in sea water, then fresh, covered with film.
Today: blisters over an area as large as her palm, two have opened, red round
them but no streaks up the arm. Temperature 37.4. Pain with movement, can close
the hand two thirds. Feeling in the fingertips is normal. Pulse 76.

We have: silver cream, paraffin gauze, ibuprofen, paracetamol, a course of
flucloxacillin, a course of doxycycline, tetanus was two years ago.

Open blisters or leave them? Antibiotic now, or at which sign? May she stand
watches? If you would rather she stayed ashore, we need to know by 0600Z.
`,
		html: `<html><body><p><b>Patient:</b> woman, 25, no illness, no medicines, no allergy known.<br>
Monday about noon boiling water over the back of the left hand and two fingers. Cooled twenty minutes in sea water, then fresh, covered with film.</p>
<p><b>Today:</b> blisters over an area as large as her palm, two have opened, red round them but no streaks up the arm. Temperature 37.4. Pain with movement, can close the hand two thirds. Feeling in the fingertips is normal. Pulse 76.</p>
<p><b>We have:</b> silver cream, paraffin gauze, ibuprofen, paracetamol, a course of flucloxacillin, a course of doxycycline, tetanus was two years ago.</p>
<p>Open blisters or leave them? Antibiotic now, or at which sign? May she stand watches? If you would rather she stayed ashore, we need to know by 0600Z.</p></body></html>
`,
	}, {
		file:    "06-letter-to-mother.eml",
		headers: head(ketch, "=?utf-8?Q?M=C3=A3e?= <home@arriaga.example>", "=?utf-8?Q?Not=C3=ADcias_de_bordo?=", "Wed, 25 Nov 2026 13:20:00", "l1.251320@saltmarsh.example"),
		charset: "utf-8",
		text: `Querida mãe,

estamos bem. A ilha é verde até ao mar e cheira a terra molhada, e ao fim de
dezanove dias de água isso é quase demais. Ontem contámos mais de quatrocentas
cagarras numa só manhã; a Mila gritava os números e eu escrevia, e ninguém quis
almoçar para não perder nenhuma.

O leme tem uma coisa que não me agrada e por isso talvez fiquemos mais uns dias.
Não te preocupes: quem não se preocupa com o leme é que devia preocupar-se.
Escrevi ao Anton no estaleiro e ele vai responder como sempre, com três palavras
e um desenho.

Diz ao pai que a bomba nova funciona e que tinha razão quanto à junta. Diz à Rita
que o caderno dela já tem vinte e duas páginas e que a última é um desenho de um
painho a andar sobre a água, que é o que eles fazem, juro.

Se o céu deixar, escrevo outra vez no domingo. Se não deixar, lê esta duas vezes.

Um beijo grande da tua
Inês
`,
	}, {
		file:    "07-letter-to-ada.eml",
		headers: head("Tom Roebuck <tom@saltmarsh.example>", "ada@roebuck.example", "The sea is mostly grey, thank you for asking", "Wed, 25 Nov 2026 12:44:00", "l2.251244@saltmarsh.example"),
		charset: "8bit",
		text: `Dear Ada,

your letter came in four pieces over two nights and I read it in the right order
only the second time, which made it better. So the roof held – good – and the
goose has an admirer. I am on her side.

You ask what one does all day. At ten to nine we begin to count. One looks, one
calls, one writes, for ten minutes, then a number is set on the clock and it
begins again, until the light goes. A shearwater is easy. A storm petrel is a
thumb-print that moves. On Tuesday one walked along the face of a wave beside us
for so long that Mila put her pencil down, and she has never put her pencil down.

The rest is cooking in a room that leans, mending, and standing about at night
with a red lamp and the radio, trying to guess which piece of sky is open. I
have grown fond of the guessing. Ines says that is the danger sign.

We may be here a few days because of the rudder. If so I shall walk up to the
crater and look down into it on your behalf. They say the hydrangeas are over.

Tell your father the café on the quay has his kind of chess player, the kind who
sighs. Kiss the goose.

Yours, a little salted,
Tom
`,
	}, {
		file: "08-bird-counts.eml",
		headers: head(ketch, "Seabird counts <counts@seabirds.example>", "Transects of 24 November", "Wed, 25 Nov 2026 09:05:00", "c1.250905@saltmarsh.example",
			"Cc: shore@saltmarsh.example"),
		text: `Sixty bins, 300 m on one side, three observers in turn. Bins 31 to 33 have glare
from ahead and should be used with care. Names as in your list of August.
`,
		parts: []part{{"text/csv", "transects-2026-11-24.csv", "base64", counts()}},
	}, {
		file: "09-track.eml",
		headers: head(ketch, "data@institute.example", "Track and weather, 24 November", "Wed, 25 Nov 2026 09:20:00", "c2.250920@saltmarsh.example",
			"Expires: Fri, 27 Nov 2026 09:00:00 +0000"),
		text:  "Five-minute values, instruments as before, barometer read 0.4 hPa high against the harbour's.\n",
		parts: []part{{"text/csv", "track-2026-11-24.csv", "7bit", track()}},
	}, {
		file: "10-stores.eml",
		headers: head(ketch, "=?windows-1252?Q?Mercearia_S=E3o_Br=E1s?= <stores@pedraalta.example>", "Encomenda para 6 de Dezembro", "Wed, 25 Nov 2026 11:30:00", "s1.251130@saltmarsh.example",
			"Reply-By: Mon, 30 Nov 2026 12:00:00 +0000"),
		charset: "windows-1252",
		text: `Bom dia,

para a chegada do Saltmarsh, por volta de 6 de Dezembro, pedimos:

 40 l gasóleo em bidões            12 kg arroz
  6 kg feijão seco                 10 kg batata
  5 kg cebola                       4 kg café moído
 60 ovos                            3 kg queijo curado
  2 caixas limões                  12 latas atum
  4 l azeite                        8 pães, no próprio dia
  1 botija gás 5,5 kg, rosca azul   2 rolos papel absorvente
  6 pilhas 1,5 V grandes            1 escova para garrafas

Se o gás for de outra rosca, agradecemos um aviso. Pagamento à chegada.

Inês Arriaga-Holt
`,
	}, {
		file: "11-ice-camp.eml",
		headers: head(ketch, "Camp Brandt <camp@brandt.example>", "Your ivory gulls, and a time to meet", "Wed, 25 Nov 2026 14:10:00", "b1.251410@saltmarsh.example",
			"Reply-By: Fri, 27 Nov 2026 18:00:00 +0000"),
		text: `Hello the ice,

your count of the 20th reached us whole. Eleven ivory gulls at that date is more
than anybody here expected and we should like the hours as well, if Runa kept
them, and whether the two with rings were read.

We shall listen for you on the two lower channels at the hours on the last card.
If the night is as quiet as yesterday's we can take about 4 kB. After the 6th we
shall be in the trades and noisy; then please call only after your noon.

How is the cold? Here somebody complained of seventeen degrees.

Saltmarsh
`,
	}, {
		file:    "12-weather-request.eml",
		headers: head("qx2sm@saltmarsh.example", "weather@portansel.example", "Forecast, please", "Wed, 25 Nov 2026 17:20:00", "w1.251720@saltmarsh.example"),
		text: `Please send wind and sea for 30N to 40N, 20W to 32W, 72 hours in steps of 12,
as plain text, no chart. Also the position of the low that was at 45N 41W.
`,
	}, {
		file: "13-week-report.eml",
		headers: head("Mila Kestrel-Vane <mila@saltmarsh.example>", "office@dourada.example", "Week 47 for the notice board", "Tue, 24 Nov 2026 20:15:00", "n1.242015@saltmarsh.example",
			"Expires: Tue, 01 Dec 2026 00:00:00 +0000"),
		html: `<!DOCTYPE html><html><head><meta charset="utf-8"><style>body{font-family:serif;margin:2em}td,th{padding:.2em .8em;border-bottom:1px solid #999}caption{font-style:italic}</style><title>Week 47</title></head>
<body><h1>Week 47 aboard</h1>
<p>Seven days, six of them with counts; one lost to a gale that was not in any forecast we could get.</p>
<table><caption>Birds seen, adults</caption><tr><th>kind</th><th>week 46</th><th>week 47</th></tr>
<tr><td>Cory&rsquo;s shearwater</td><td>1,204</td><td>2,377</td></tr><tr><td>Great shearwater</td><td>388</td><td>141</td></tr>
<tr><td>Leach&rsquo;s storm petrel</td><td>52</td><td>97</td></tr><tr><td>Grey phalarope</td><td>610</td><td>85</td></tr></table>
<p>The shearwaters are leaving the islands, the phalaropes have gone through. Best moment: a storm petrel that walked beside us for a minute and a half. A small picture is with this letter.</p>
<p>Mila</p></body></html>
`,
		parts: []part{{"image/jpeg", "petrel.jpg", "picture", "@petrel@"}},
	}, {
		file:    "14-berth-in-january.eml",
		headers: head(ketch, "Sallow Cay boatyard <dock@sallowcay.example>", "Fwd: Haul-out in January", "Tue, 24 Nov 2026 18:02:00", "d1.241802@saltmarsh.example"),
		text: `Dear Mr Pell,

below is your offer of October. We take it, with the 18th rather than the 11th of
January if that is still free, and ask you to add the lower rudder bearing to the
list. The yard at Cabo Lume will send you a drawing.

Ines Arriaga-Holt
`,
		parts: []part{{"message/rfc822", "offer.eml", "7bit", `From: dock@sallowcay.example
To: qx2sm@saltmarsh.example
Subject: Haul-out in January
Date: Mon, 12 Oct 2026 15:00:00 -0400
Message-ID: <4471@sallowcay.example>

Haul-out, ketch 17 m, 19 t, 11 January, five days on the hard, pressure wash and
cradle included. Own work allowed, paint from the yard. Power 12 A. Answer by
the end of November, please, the crane is hired by the week.
Pell
`}},
	}}
}

// form lays a message out after the fields of the general message form ICS 213.
func form(to, from, subject, time, message, approved string) string {
	return "GENERAL MESSAGE (ICS 213)\n1. Incident: Tamarind floods\n2. To: " + to + "\n3. From: " + from + "\n4. Subject: " + subject +
		"\n5. Date: 2026-11-25  6. Time: " + time + "Z\n7. Message:\n" + message + "8. Approved by: " + approved + "\n9. Reply:\n"
}

const base = "Base Tamarind <base@tamarind.example>"

func tamarind() []letter {
	return []letter{{
		file: "01-release-of-water.eml",
		headers: head(base, "post2@tamarind.example, post3@tamarind.example, post5@tamarind.example", "Release of water from the upper dam", "Wed, 25 Nov 2026 17:25:00", "213-041@tamarind.example",
			"MMHS-Primary-Precedence: flash", "Latest-Delivery-Time: Wed, 25 Nov 2026 21:00:00 +0000"),
		text: form("Posts 2, 3, 5", "Operations, base", "Release of water from the upper dam", "17:25", `Two gates are opened at 2100Z today. River rises 0.8 m within three hours at
post 2, later and less below. Move people and boats above the upper marks before
then. No crossing by rope after 2030Z. Confirm to base by voice or mail.
`, "K. Nyeri, operations"),
	}, {
		file: "02-clinic-boat.eml",
		headers: head(base, "post7@tamarind.example", "Boat for two patients", "Wed, 25 Nov 2026 16:50:00", "213-039@tamarind.example",
			"MMHS-Primary-Precedence: immediate", "Latest-Delivery-Time: Thu, 26 Nov 2026 04:00:00 +0000"),
		text: form("Post 7, clinic", "Medical, base", "Boat for two patients", "16:50", `Boat leaves base at first light, 0315Z, with you about 0630Z. Two lying, one
helper. Have ready: names, ages, what was given and when. Bring the cold box back.
Landing at the mill if the church steps are under water; mark it with a sheet.
`, "Dr P. Mbewa"),
	}, {
		file:    "03-water-tablets.eml",
		headers: head(base, "post4@tamarind.example", "Water tablets and drums", "Wed, 25 Nov 2026 11:05:00", "213-031@tamarind.example", "MT-Priority: 1", "Expires: Fri, 27 Nov 2026 12:00:00 +0000"),
		text: form("Post 4, stores", "Logistics, base", "Water tablets and drums", "11:05", `On the lorry of the 26th for you:
 24,000 tablets for clear water (one to 20 litres), 6,000 for turbid water
 40 drums 20 l with taps, 12 tarpaulins 4 x 6 m, 2 rolls rope 12 mm
 1 hand pump with 15 m hose, spare leather
Count on arrival and answer with what is missing. Drums go first to the school.
`, "E. Gondwe, logistics"),
	}, {
		file: "04-situation-to-all.eml",
		headers: head(base, "post1@tamarind.example, post2@tamarind.example, post3@tamarind.example, post4@tamarind.example,\n post5@tamarind.example, post6@tamarind.example, post7@tamarind.example, post8@tamarind.example,\n post9@tamarind.example",
			"Situation 1800 and what we need from you", "Wed, 25 Nov 2026 17:30:00", "213-042@tamarind.example"),
		text: form("All posts", "Planning, base", "Situation 1800 and what we need from you", "17:30", `River at base 6.4 m, falling 2 cm an hour. Rain forecast light until the 27th.
Road open to posts 1, 4 and 6; by boat only to 2, 3, 5, 7; 8 and 9 on foot.
In shelters 11,240. Sick with diarrhoea 63, new today 9, none died.
Tomorrow by 0500Z each post: people in shelter, new sick, water in days, fuel in
litres, road or landing open, one line of what is most wanted. Nothing else.
`, "K. Nyeri, operations"),
	}, {
		file:    "05-fuel.eml",
		headers: head(base, "post6@tamarind.example", "Fuel for the pump and the radio", "Wed, 25 Nov 2026 14:20:00", "213-036@tamarind.example"),
		text: form("Post 6", "Logistics, base", "Fuel for the pump and the radio", "14:20", `60 l petrol and 20 l diesel come with the tractor tomorrow about 0900Z. Keep 10 l
of petrol for the radio's charger under your own key. If the pump stands still
before then, say so tonight and the boat brings one can.
`, "E. Gondwe, logistics"),
	}, {
		file:    "06-looked-for.eml",
		headers: head(base, "post1@tamarind.example, post8@tamarind.example", "People looked for, list of the 25th", "Wed, 25 Nov 2026 15:45:00", "213-038@tamarind.example", "Expires: Sat, 28 Nov 2026 16:00:00 +0000"),
		text: form("Posts 1 and 8", "Tracing, base", "People looked for, list of the 25th", "15:45", `The list is with this message, 140 names. Compare with your own book and send back
only the numbers of those you have. Do not read the list out in public.
`, "A. Tembani, tracing"),
		parts: []part{{"text/csv", "looked-for-2026-11-25.csv", "base64", people()}},
	}, {
		file:    "07-relief-of-operator.eml",
		headers: head(base, "post9@tamarind.example", "Your relief", "Wed, 25 Nov 2026 12:30:00", "213-033@tamarind.example"),
		text: form("Post 9, operator", "Communications, base", "Your relief", "12:30", `Neema comes up on the 27th with a second battery and stays a week. Show her the
aerial and the hours that work; write the hours down. Thank you for the nine days.
`, "L. Zumo, communications"),
	}}
}
