package station

// A small home that has one of everything, for tests to break. Invented.
const goodHome = `# remarks stay
[station]
name = "Saltmarsh"
call = "QX2SM"
position = "38 31.2N 28 37.9W"

[transmitter]
power = "100 W"
waveforms = ["serial-3k", "psk-narrow"]

[antenna]
kind = "wire"
height = "3 m"
top = "14 m"
length = "12.5 m"
ground = "sea"
tuner_loss = "2.5 dB"

[receiver]
noise_figure = "15 dB"

[noise]
environment = "quiet-rural"
measured = ["-105 dBm in 3 kHz at 7.1 MHz"]

[battery]
voltage = "12 V"
capacity = "400 Ah"
reserve = "30 %"
charge = "81 %" # by the meter

[consumption]
receive = "1.5 A"
transmit = "19 A"
duty = "62 %"
other = "30 W"

[solar]
panels = 2
each = "100 W"

[generator]
power = "200 W"
hours = ["08:00-09:00"]

[watch]
hours = ["06:00-10:00", "16:00-01:00"]

[[wake]]
who = "the mate"
hours = ["10:00-16:00"]
price = 1

[[permit]]
from = "8.195 MHz"
to = "8.815 MHz"
bandwidth = "3 kHz"
power = "150 W"
emissions = ["2K80J2D"]

[prices]
flash = 64
halving = "48 h"

[[rule]]
subject = "position"
precedence = "priority"
deadline = "6 h"
`

// A directory to break. Invented.
const goodStations = `[[station]]
name = "Cabo Lume"
call = "QM4CL"
position = "43.0N 9.2W"
hours = ["00:00-24:00"]
dwell = "2 s"
power = "500 W"
antenna = { kind = "vertical", length = "9 m", ground = "sea" }
noise = "residential"
carries = ["*"]
language = "pt"
note = "answers quickly"

[[station.channel]]
frequency = "8.37 MHz"
bandwidth = "3 kHz"
waveforms = ["serial-3k"]
emission = "2K80J2D"
hours = ["06:00-22:00"]

[[station.channel]]
frequency = "12610 kHz"
waveforms = ["serial-3k"]

[[station]]
name = "Brandt"
position = "72.6N 38.5W"
skeds = ["00:00", "12:00"]
sked_margin = "30 min"
carries = ["*@brandt.example"]

[[station.channel]]
frequency = "5.25 MHz"
waveforms = ["serial-3k"]
`

// The same two stations as a table.
const goodCSV = `name,call,position,hours,skeds,sked_margin,dwell,power,antenna,antenna_length,antenna_ground,noise,carries,language,note,frequency,bandwidth,waveforms,emission,channel_hours
Cabo Lume,QM4CL,43.0N 9.2W,00:00-24:00,,,2 s,500 W,vertical,9 m,sea,residential,*,pt,answers quickly,8.37 MHz,3 kHz,serial-3k,2K80J2D,06:00-22:00
Cabo Lume,,,,,,,,,,,,,,,12610 kHz,,serial-3k,,
Brandt,,72.6N 38.5W,,00:00 12:00,30 min,,,,,,,*@brandt.example,,,5.25 MHz,,serial-3k,,
`
