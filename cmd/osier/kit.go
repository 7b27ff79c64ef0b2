package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"osier/model"
)

type kitCmd struct {
	Angler     string   `required:"" help:"Whose kit it is."`
	Feeder     []string `help:"One feeder as TYPE:ML:G, such as cage:20:25; give the flag once for each." sep:"none" placeholder:"TYPE:ML:G"`
	RodMax     *float64 `help:"The most the rod is rated for, weight and fill together, g."`
	TenFills   *float64 `help:"What ten fills weighed together, g."`
	TenFillsMl *float64 `help:"Capacity of the feeder they were made with, ml."`
}

func (c *kitCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if len(c.Feeder) == 0 && c.RodMax == nil && c.TenFills == nil && c.TenFillsMl == nil {
		kit, err := db.Kit(a.ctx, c.Angler)
		if err != nil {
			return err
		}
		a.print(kit, func(out io.Writer) { kitText(out, kit) })
		return nil
	}
	kit := model.Kit{
		Angler: c.Angler, RodMaxG: given[model.Grams](c.RodMax),
		TenFillsG: given[model.Grams](c.TenFills), TenFillsMl: given[model.Millilitres](c.TenFillsMl),
	}
	for i, text := range c.Feeder {
		f, err := parseFeeder(text)
		if err != nil {
			return fmt.Errorf("feeder %d: %w", i+1, err)
		}
		kit.Feeders = append(kit.Feeders, f)
	}
	if err := kit.Validate(); err != nil {
		return err
	}
	if err := db.PutKit(a.ctx, kit); err != nil {
		return err
	}
	a.print(kit, func(out io.Writer) { kitText(out, kit) })
	return nil
}

func parseFeeder(text string) (model.OwnFeeder, error) {
	wrong := model.Invalidf("feeder", "write TYPE:ML:G, such as cage:20:25", "%q is no feeder", text)
	part := strings.Split(text, ":")
	if len(part) != 3 || part[0] == "" {
		return model.OwnFeeder{}, wrong
	}
	ml, err1 := strconv.ParseFloat(part[1], 64)
	g, err2 := strconv.ParseFloat(part[2], 64)
	if err1 != nil || err2 != nil {
		return model.OwnFeeder{}, wrong
	}
	return model.OwnFeeder{Type: part[0], CapacityMl: model.Millilitres(ml), WeightG: model.Grams(g)}, nil
}

func kitText(out io.Writer, k model.Kit) {
	fmt.Fprintf(out, "Kit of %s\n", k.Angler)
	for _, f := range k.Feeders {
		fmt.Fprintf(out, "  %s feeder, %g ml, %g g\n", f.Type, float64(f.CapacityMl), float64(f.WeightG))
	}
	if k.RodMaxG.Known {
		fmt.Fprintf(out, "  rod rated to %g g\n", float64(k.RodMaxG.Value))
	}
	if d := k.DensityGMl(); d.Known {
		fmt.Fprintf(out, "  a fill weighs %.2f g/ml\n", d.Value)
	}
}
