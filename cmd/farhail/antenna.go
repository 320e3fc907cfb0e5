package main

import (
	"fmt"
	"io"
	"math"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/report"
	"farhail/unit"
)

func (s *shell) antenna() *cobra.Command {
	var f unit.Freq
	var az unit.Angle
	var line unit.DB
	svg := false
	c := &cobra.Command{
		Use:   "antenna KIND [key=value…]",
		Short: "the gain of a field antenna by elevation and bearing",
		Long: `Draws what an antenna does over real ground: gain in dBi, all losses in. How it fits a
transmitter of 50 ohm without a tuner is said below, where the reactance is modelled.

KIND is home for the station's own antenna, or one of these, with its keys; those in
brackets may be left out, and quantities have their units (height=8m, earth_lead=yes):

` + desk.AntennaHelp(),
		Example: `  farhail antenna dipole height=10m ground=average --freq 7.1MHz
  farhail antenna wire height=3m top=14m length=12.5m bearing=190deg ground=sea tuner_loss=2.5dB --freq 8.4MHz --svg > backstay.svg
  farhail antenna home --freq 8.4MHz --cut 067deg`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := unit.Check("line loss", float64(line), 0, 60, "dB"); err != nil {
				return err
			}
			if err := unit.Check("bearing of the cut", az.Deg(), -360, 360, "deg"); err != nil {
				return err
			}
			p, err := s.pattern(c, args, f)
			if err != nil {
				return err
			}
			towards := math.Mod(az.Deg()+360, 360)
			d := p.Drawing(towards, line)
			if svg {
				_, err := s.stdout.Write(report.AntennaSVG(d))
				return err
			}
			return s.print(d, func(w io.Writer) {
				for _, l := range p.Text(towards, 72, line) {
					fmt.Fprintln(w, l)
				}
			})
		},
	}
	quantity(c.Flags(), &f, "freq", "frequency", "7.1 MHz", "`frequency`", unit.ParseFreq)
	quantity(c.Flags(), &az, "cut", "bearing", "0 deg", "true `bearing` of the elevation cut", unit.ParseAngle)
	quantity(c.Flags(), &line, "line-loss", "ratio", "0 dB", "`loss` of the line when matched: say what it loses with this antenna", unit.ParseDB)
	c.Flags().BoolVar(&svg, "svg", false, "draw it as SVG")
	return c
}

// pattern solves the antenna that the arguments name.
func (s *shell) pattern(c *cobra.Command, args []string, f unit.Freq) (p *desk.Pattern, err error) {
	if len(args) != 1 || args[0] != "home" {
		return desk.Antenna(args, f)
	}
	err = s.with(c.Context(), func(d *desk.Desk) (err error) {
		p, err = d.Antenna(f)
		return err
	})
	return p, err
}
