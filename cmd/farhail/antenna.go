package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/report"
	"farhail/unit"
)

func (s *shell) antenna() *cobra.Command {
	var f unit.Freq
	var az unit.Angle
	svg := false
	c := &cobra.Command{
		Use:   "antenna KIND [key=value…]",
		Short: "the gain of a field antenna by elevation and bearing",
		Long: `Draws what an antenna does over real ground: gain in dBi, all losses in.

kinds: isotropic, dipole, inverted-v, vertical, whip, wire
keys:  height= length= top= apex= design= bearing= ground= tuner_loss= earth_ohm= coil_q=
       earth_lead=yes   (quantities with their units: height=8m)
ground: sea, wet, average, dry, … (farhail names them all when one is wrong)`,
		Example: `  farhail antenna dipole height=10m ground=average --freq 7.1MHz
  farhail antenna wire height=3m top=14m length=12.5m bearing=190deg ground=sea tuner_loss=2.5dB --freq 8.4MHz --svg > backstay.svg`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			p, err := desk.Antenna(args, f)
			if err != nil {
				return err
			}
			d := p.Drawing(az.Deg())
			if svg {
				_, err := s.stdout.Write(report.AntennaSVG(d))
				return err
			}
			return s.print(d, func(w io.Writer) {
				for _, l := range p.Text(az.Deg(), 72) {
					fmt.Fprintln(w, l)
				}
			})
		},
	}
	quantity(c.Flags(), &f, "freq", "frequency", "7.1 MHz", "`frequency`", unit.ParseFreq)
	quantity(c.Flags(), &az, "cut", "bearing", "0 deg", "true `bearing` of the elevation cut", unit.ParseAngle)
	c.Flags().BoolVar(&svg, "svg", false, "draw it as SVG")
	return c
}
