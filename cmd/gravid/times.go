package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"gravid/analyze/answer"
	"gravid/analyze/compose"
)

func (a *app) timingCommand() *cobra.Command {
	var fish, from, to, by string
	var at float64
	var technical bool
	c := &cobra.Command{
		Use:   "timing --species S",
		Short: "how long from laying to hatching to free swimming",
		Example: `  gravid timing --species "Corydoras paleatus" --at 24
  gravid timing --species "Corydoras paleatus" --by temperature
  gravid timing --species "Corydoras paleatus" --from lay --to hatch --format json`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			stages, err := stagePair(from, to)
			if err != nil {
				return err
			}
			return a.timing(fish, stages, optional(cmd.Flags().Changed("at"), at), by, technical)
		},
	}
	c.Flags().StringVar(&fish, "species", "", "name of the species")
	c.Flags().Float64Var(&at, "at", 0, "water temperature in °C to answer for")
	c.Flags().StringVar(&from, "from", string(answer.Lay), "lay or hatch")
	c.Flags().StringVar(&to, "to", string(answer.FreeSwimming), "hatch or free-swimming")
	c.Flags().StringVar(&by, "by", "", "set groups of clutches side by side: "+strings.Join(answer.GroupNames(), ", ")+", or the code of a trigger that is fixed for the attempt")
	c.Flags().BoolVar(&technical, "technical", false, "show the technical part")
	return c
}

func stagePair(from, to string) ([2]answer.Stage, error) {
	order := []answer.Stage{answer.Lay, answer.Hatch, answer.FreeSwimming}
	i, j := slices.Index(order, answer.Stage(from)), slices.Index(order, answer.Stage(to))
	if i < 0 || j < 0 || i >= j {
		return [2]answer.Stage{}, usageError{fmt.Sprintf("--from %s --to %s is no stretch of a clutch's life", from, to), "use lay to hatch, hatch to free-swimming, or lay to free-swimming"}
	}
	return [2]answer.Stage{order[i], order[j]}, nil
}

// knownGroup refuses a --by that nobody knows.
func knownGroup(k answer.Asker, by string) error {
	if by == "" || k.KnowsGroup(by) {
		return nil
	}
	return usageError{fmt.Sprintf("--by %s is nothing that clutches can be grouped by", by), "use one of " + strings.Join(answer.GroupNames(), ", ") + ", or the code of a trigger that is fixed for the attempt (gravid triggers --list)"}
}

func (a *app) timing(fish string, stages [2]answer.Stage, at float64, by string, technical bool) error {
	return a.askOf("timing", fish, func(o *openClub, species string) error {
		k := o.asker(0)
		if err := knownGroup(k, by); err != nil {
			return err
		}
		all := k.Timings(species, at)
		if by != "" {
			for i := range all {
				g := k.TimingBy(species, all[i].From, all[i].To, by)
				all[i].Grouped = &g
			}
		}
		if err := answered(k); err != nil {
			return err
		}
		if slices.IndexFunc(all, func(t answer.Timing) bool { return t.N > 0 }) < 0 {
			return o.noClutch(species)
		}
		if a.format == "json" {
			i := slices.IndexFunc(all, func(t answer.Timing) bool { return t.From == stages[0] && t.To == stages[1] })
			return a.printJSON(answer.TimingReport{Timing: all[i], Stages: all})
		}
		return a.show(compose.Timing(species, all), technical)
	})
}

func (o *openClub) noClutch(species string) error {
	return failure{"no clutch of " + species + " is in the tables", "the species in the tables are " + strings.Join(o.logged(), ", ")}
}

func (a *app) eggsCommand() *cobra.Command {
	var fish, by string
	var technical bool
	c := &cobra.Command{
		Use:   "eggs --species S",
		Short: "how many eggs a clutch has, and what becomes of them",
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return a.eggs(fish, by, technical) },
	}
	c.Flags().StringVar(&fish, "species", "", "name of the species")
	c.Flags().StringVar(&by, "by", "", "set groups of clutches side by side: "+strings.Join(answer.GroupNames(), ", ")+", or the code of a trigger that is fixed for the attempt")
	c.Flags().BoolVar(&technical, "technical", false, "show the technical part")
	return c
}

func (a *app) eggs(fish, by string, technical bool) error {
	return a.askOf("eggs", fish, func(o *openClub, species string) error {
		k := o.asker(0)
		if err := knownGroup(k, by); err != nil {
			return err
		}
		eggs := k.Eggs(species)
		if by != "" {
			g := k.EggsBy(species, by)
			eggs.Grouped = &g
		}
		if err := answered(k); err != nil {
			return err
		}
		if eggs.Clutches == 0 {
			return o.noClutch(species)
		}
		if a.format == "json" {
			return a.printJSON(eggs)
		}
		return a.show(compose.Eggs(eggs), technical)
	})
}
