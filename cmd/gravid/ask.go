package main

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/compose"
	"gravid/analyze/report"
	"gravid/analyze/report/text"
)

func (a *app) askCommand() *cobra.Command {
	var trigger, fish string
	var technical, across bool
	var explore exploration
	c := &cobra.Command{
		Use:   `ask ["QUESTION"]`,
		Short: "does a trigger matter for a species?",
		Long: `ask answers whether a trigger goes with spawning in one species. Put the
question in words, or name both with --trigger and --species. The answer says
first what was understood.`,
		Example: `  gravid ask "does a pressure drop matter for Corydoras paleatus?"
  gravid ask "what helps Apistogramma cacatuoides?"
  gravid ask "how big must the pressure drop be for Corydoras paleatus?"
  gravid ask "when will the fry of Corydoras paleatus swim at 25 °C?"
  gravid ask "how many eggs are normal for Danio rerio?"
  gravid ask "what should we try next season?"
  gravid ask --trigger pressure-drop --across
  gravid ask --trigger live-food --species "Corydoras paleatus" --format json`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.ask(strings.Join(args, " "), trigger, fish, technical, across, explore)
		},
	}
	c.Flags().StringVar(&trigger, "trigger", "", "code of the trigger, such as pressure-drop")
	c.Flags().StringVar(&fish, "species", "", "name of the species")
	c.Flags().BoolVar(&technical, "technical", false, "show the technical part: every number with its method")
	c.Flags().BoolVar(&across, "across", false, "ask after one trigger in every species of the tables, side by side and together")
	c.Flags().Float64Var(&explore.hours, "window-hours", 0, "exploration: another length of the window of a trigger from dated readings")
	c.Flags().Float64Var(&explore.threshold, "threshold", 0, "exploration: another size of the change from which it counts")
	return c
}

// An exploration changes the window of a trigger that the catalogue fixes. Answers to it
// are called that: whoever tries many windows finds one that fits by chance.
type exploration struct{ hours, threshold float64 }

func (e exploration) of(t catalogue.Trigger) (catalogue.Trigger, error) {
	if e == (exploration{}) {
		return t, nil
	}
	changed, ok := t.Explore(e.hours, e.threshold)
	if !ok {
		return t, usageError{"the window of " + t.Code + " cannot be changed: it does not come from a change in dated readings", "leave --window-hours and --threshold out"}
	}
	return changed, nil
}

// askAcross asks after one trigger in every species.
func (a *app) askAcross(o *openClub, k answer.Asker, question, code string, explore exploration) error {
	found := catalogue.Mention(k.Triggers, question)
	if code != "" {
		t, ok := catalogue.Find(k.Triggers, code)
		if !ok {
			return usageError{answer.UnknownTrigger(code, k.Triggers), "gravid triggers --list names them all"}
		}
		found = []catalogue.Trigger{t}
	}
	if len(found) != 1 {
		return usageError{answer.Understood{Species: []string{""}, Triggers: found}.Ambiguous(), "name one with --trigger; gravid triggers --list names them all"}
	}
	trigger, err := explore.of(found[0])
	if err != nil {
		return err
	}
	result := k.MatterAcross(k.LoggedSpecies(), trigger)
	if err := answered(k); err != nil {
		return err
	}
	if a.format == "json" {
		return a.printJSON(result)
	}
	return a.show(compose.Across(result), true)
}

func (a *app) ask(question, code, fish string, technical, across bool, explore exploration) error {
	if err := a.notCSV("ask"); err != nil {
		return err
	}
	o, err := a.open()
	if err != nil {
		return err
	}
	defer o.Close()
	k := o.asker(0)
	k.Views = true
	if across {
		return a.askAcross(o, k, question, code, explore)
	}
	if done, err := a.askOther(o, k, question, code, fish, technical); done {
		return err
	}
	species, trigger, err := a.understand(o, k.Triggers, question, code, fish)
	if err != nil {
		return err
	}
	if trigger, err = explore.of(trigger); err != nil {
		return err
	}
	result := k.Matter(species, trigger)
	if err := answered(k); err != nil {
		return err
	}
	if result.Status == answer.SpeciesUnlogged {
		return failure{fmt.Sprintf("no attempt with %s is in the tables", species), "the species in the tables are " + strings.Join(o.logged(), ", ")}
	}
	if a.format == "json" {
		return a.printJSON(result)
	}
	return a.show(compose.Trigger(result), technical)
}

// askOther answers questions in words that are about something else than one trigger:
// what helps, how long it takes, how many eggs. It reports whether the question was one.
func (a *app) askOther(o *openClub, k answer.Asker, question, code, fish string, technical bool) (bool, error) {
	u := answer.Understand(question, k.Triggers, o.mentioned)
	if code != "" || u.Asks == answer.AsksMatter || u.Asks == answer.AsksSize {
		return false, nil
	}
	understood := func(s string) { a.say("note", "understood as: "+s, "") }
	if u.Asks == answer.AsksPlan && fish == "" && len(u.Species) == 0 {
		understood("what to try next season, in every species of the tables?")
		return true, a.plans(k, k.PlanAll(), technical)
	}
	if fish == "" {
		if len(u.Species) != 1 {
			u.Triggers = k.Triggers[:1] // the trigger is not what is open
			return true, o.askBack(u)
		}
		fish = u.Species[0]
	}
	switch u.Asks {
	case answer.AsksPlan:
		understood("what to try next season with " + fish + "?")
		species, err := a.theSpecies(o, fish)
		if err != nil {
			return true, err
		}
		return true, a.plans(k, []answer.Plan{k.PlanOf(k.TriggersOf(species))}, technical)
	case answer.AsksTiming:
		at := answer.Degrees(question)
		understood("how long from laying to hatching and free swimming in " + fish + "?")
		return true, a.timing(fish, [2]answer.Stage{answer.Lay, answer.FreeSwimming}, at, "", technical)
	case answer.AsksEggs:
		by := ""
		if len(u.Triggers) == 1 && k.KnowsGroup(u.Triggers[0].Code) {
			by = u.Triggers[0].Code
			understood("how many eggs has a clutch of " + fish + ", with and without " + u.Triggers[0].Name + "?")
		} else {
			understood("how many eggs has a clutch of " + fish + "?")
		}
		return true, a.eggs(fish, by, technical)
	}
	understood("which triggers go with spawning in " + fish + "?")
	return true, a.triggers(fish, technical)
}

func (a *app) plans(k answer.Asker, all []answer.Plan, technical bool) error {
	if err := answered(k); err != nil {
		return err
	}
	if a.format == "json" {
		return a.printJSON(all)
	}
	return a.show(compose.Plans(all), technical)
}

// askBack puts a question back: what is open, and what there is to choose from.
func (o *openClub) askBack(u answer.Understood) error {
	var fix []string
	if len(u.Species) != 1 {
		fix = append(fix, "name the species with --species; the tables hold "+strings.Join(o.logged(), ", "))
	}
	if len(u.Triggers) != 1 {
		fix = append(fix, "name the trigger with --trigger; gravid triggers --list has them all")
	}
	return usageError{u.Ambiguous(), strings.Join(fix, "; ")}
}

// understand finds the species and the trigger of a question. A flag wins over
// words.
func (a *app) understand(o *openClub, triggers []catalogue.Trigger, question, code, fish string) (string, catalogue.Trigger, error) {
	var species string
	var trigger catalogue.Trigger
	u := answer.Understand(question, triggers, o.mentioned)
	if fish != "" {
		name, err := a.theSpecies(o, fish)
		if err != nil {
			return "", trigger, err
		}
		u.Species = []string{name}
	}
	if code != "" {
		t, ok := catalogue.Find(triggers, code)
		if !ok {
			return "", trigger, usageError{answer.UnknownTrigger(code, triggers), "gravid triggers --list names them all"}
		}
		u.Triggers = []catalogue.Trigger{t}
	}
	if question == "" && (fish == "" || code == "") {
		return "", trigger, usageError{"there is no question", `ask in words, such as "does a pressure drop matter for Corydoras paleatus?", or use --trigger and --species`}
	}
	if open := u.Ambiguous(); open != "" {
		return "", trigger, o.askBack(u)
	}
	species, trigger = u.Species[0], u.Triggers[0]
	return species, trigger, nil
}

// mentioned returns the species that a text names. Where a name stands for
// several, those that are in the tables count. Where it names none, a genus stands for its
// species in the tables; and a club with one species asks about that one.
func (o *openClub) mentioned(text string) []string {
	if found := o.named(text); len(found) > 0 {
		return found
	}
	logged := o.logged()
	var found []string
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) }) {
		for _, s := range logged {
			genus, _, _ := strings.Cut(strings.ToLower(s), " ")
			if len(w) > 3 && (w == genus || w == genus+"s" || w == genus+"es") && !slices.Contains(found, s) {
				found = append(found, s)
			}
		}
	}
	if len(found) == 0 && len(logged) == 1 {
		return logged
	}
	return found
}

// named returns the species whose names stand in a text.
func (o *openClub) named(text string) []string {
	var found []string
	logged := o.logged()
	for _, m := range o.names.Find(text) {
		candidates := []string{m.Accepted}
		if m.Accepted == "" {
			candidates = slices.DeleteFunc(slices.Clone(m.Candidates), func(s string) bool { return !slices.Contains(logged, s) })
			if len(candidates) == 0 {
				candidates = m.Candidates
			}
		}
		for _, s := range candidates {
			if !slices.Contains(found, s) {
				found = append(found, s)
			}
		}
	}
	return found
}

// show writes a document as text.
func (a *app) show(d *report.Document, technical bool) error {
	return text.Write(a.stdout, d, text.Options{Width: a.width, Technical: technical, Color: a.color()})
}

// color reports whether colour may be used: on a terminal that can show it,
// unless NO_COLOR is set (no-color.org).
func (a *app) color() bool {
	return a.terminal && a.getenv("NO_COLOR") == "" && a.getenv("TERM") != "dumb"
}

func (a *app) triggersCommand() *cobra.Command {
	var fish string
	var list, technical bool
	c := &cobra.Command{
		Use:   "triggers --species S",
		Short: "every candidate trigger for one species, judged together",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if list {
				return a.listTriggers()
			}
			return a.triggers(fish, technical)
		},
	}
	c.Flags().StringVar(&fish, "species", "", "name of the species")
	c.Flags().BoolVar(&list, "list", false, "list the triggers with their codes, windows and how they are worked out")
	c.Flags().BoolVar(&technical, "technical", false, "show the technical part")
	return c
}

func (a *app) triggers(fish string, technical bool) error {
	return a.askOf("triggers", fish, func(o *openClub, species string) error {
		k := o.asker(0)
		table := k.TriggersOf(species)
		next := k.PlanOf(table)
		if err := answered(k); err != nil {
			return err
		}
		if a.format == "json" {
			return a.printJSON(struct {
				answer.TriggerTable
				Next answer.Plan `json:"next_season"`
			}{table, next})
		}
		return a.show(compose.Triggers(table, next), technical)
	})
}

func (a *app) listTriggers() error {
	list := answer.Every(nil)
	if o, err := a.open(); err == nil {
		list = answer.Every(o.ownTriggers())
		o.Close()
	}
	if a.format == "json" {
		type row struct {
			Code    string `json:"code"`
			Name    string `json:"name"`
			Kind    string `json:"kind"`
			Unit    string `json:"unit"`
			Window  string `json:"window"`
			Derived string `json:"derived"`
			Usual   string `json:"usual_dose"`
			Caution string `json:"caution"`
		}
		var rows []row
		for _, t := range list {
			rows = append(rows, row{t.Code, t.Name, string(t.Kind), t.Unit, t.Window, t.Derived, t.UsualDose, t.Caution.Text})
		}
		return a.printJSON(rows)
	}
	return a.show(compose.Catalogue(list), false)
}
