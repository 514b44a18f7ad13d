package main

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// keep lets one keeper's seasons happen. Of a keeper who writes down spawnings
// only, the other attempts are left out.
func (w *world) keep(d *dice, k *keeper) []*attempt {
	var all []*attempt
	for _, t := range k.Tanks {
		s := w.speciesNamed(t.Species)
		usual := s.Temperature.Usual + k.warmer + 0.3*d.normal()
		every := float64(lastDay-k.From) / float64(t.Attempts)
		free := k.From
		for i := range t.Attempts {
			began := max(free, k.From+day(every*(float64(i)+0.8*d.unit())))
			if i == t.Attempts-1 && d.chance(0.3) { // under way when the logs are handed in
				began = max(free, lastDay-day(d.whole(1, 8)))
			}
			if began >= lastDay {
				break
			}
			a := w.attempt(d, k, s, t.Name, usual, began)
			free = a.last + 6
			if a.spawn || !k.SpawnsOnly {
				all = append(all, a)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b *attempt) int { return cmp.Compare(a.began, b.began) })
	for i, a := range all {
		a.number = i + 1
	}
	return all
}

// attempt sets fish up and waits.
func (w *world) attempt(d *dice, k *keeper, s *species, tank string, usual float64, began day) *attempt {
	warm := 0.5 * math.Cos(2*math.Pi*(float64(began.date().YearDay())-200)/365.25)
	a := &attempt{
		keeper: k, sp: s, tank: tank, began: began,
		males: d.whole(s.males[0], s.males[1]), females: d.whole(s.females[0], s.females[1]),
		temperature: tenth(usual + warm + 0.5*d.normal()),
		ph:          tenth(s.ph + 0.15*d.normal()),
		gh:          max(1, math.Round(k.gh+0.8*d.normal())),
		nitrate:     max(2, math.Round(12+5*d.normal())),
		light:       k.light + float64(d.whole(-1, 1)), conditioning: of(d, k.conditioning), waterChange: of(d, k.changes),
		liveFood: d.chance(k.liveFood), leaves: d.chance(k.leaves), dither: d.chance(k.dither),
		microfauna: d.chance(0.4), flow: d.chance(0.3), rearranged: d.chance(0.15), mates: d.chance(0.2),
	}
	a.kh = max(0, math.Round(0.6*a.gh+0.6*d.normal()))
	a.conductivity = math.Round(33*a.gh + 40 + 12*d.normal())
	if a.waterChange > 0 {
		a.refill = tenth(0.2 * d.normal())
		if d.chance(k.cool) {
			a.refill = -tenth(d.between(1.5, 5))
		}
	}
	if d.chance(0.25) {
		a.level = float64(of(d, []int{-5, -3, 3, 5, 8}))
	}
	w.wait(d, a)
	return a
}

// wait throws the dice for each day at risk.
func (w *world) wait(d *dice, a *attempt) {
	end := a.began + day(d.whole(a.sp.WatchDays[0], a.sp.WatchDays[1]))
	for today := a.began + 1; today <= end; today++ {
		if today > lastDay {
			a.last, a.runs = lastDay, true
			return
		}
		if d.chance(1 / (1 + math.Exp(-w.logOdds(a, today)))) {
			a.last, a.spawn = today, true
			a.clutch = w.develop(d, a)
			return
		}
	}
	a.last = end
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)).Round(time.Second) }

// lasting draws a time of development at the temperature of the tank.
func (t timing) lasting(d *dice, celsius float64) time.Duration {
	return hours(t.MedianHours * math.Exp(t.LogPerC*(celsius-25)+t.LogSD*d.normal()))
}

// develop follows a clutch from the look at which it was found. It was laid at any
// time since the look before.
func (w *world) develop(d *dice, a *attempt) *clutch {
	k, s := a.keeper, a.sp
	seen, before := w.look(k, a.last), w.look(k, a.last-1)
	c := &clutch{laidSeen: seen, laid: before.Add(time.Duration(d.unit() * float64(seen.Sub(before))))}
	for c.eggs == 0 { // no eggs would be no spawning
		c.eggs = d.negativeBinomial(s.Eggs.Mean, s.Eggs.K)
	}
	c.fertile = d.betaBinomial(c.eggs, s.Eggs.Fertile, s.Eggs.Rho)
	c.hatched = d.betaBinomial(c.fertile, s.Eggs.Hatched, s.Eggs.Rho)
	c.swimming = d.betaBinomial(c.hatched, s.Eggs.Swimming, s.Eggs.Rho)
	hatch := c.laid.Add(s.Hatch.lasting(d, a.temperature))
	swim := hatch.Add(s.Swim.lasting(d, a.temperature))
	when := d.between(0.2, 0.9)
	early, late := draw(d, s.Lost.BeforeHatch), draw(d, s.Lost.BeforeSwim)
	if early == "" && c.hatched == 0 {
		early = "failed to hatch"
		when = 0.95
	}
	if early != "" {
		c.lose(w, k, early, c.laid.Add(time.Duration(when*float64(hatch.Sub(c.laid)))))
		c.hatched, c.swimming = 0, 0
		if early == "infertile" {
			c.fertile = 0
		}
		return c
	}
	c.hatchSeen = w.firstLook(k, hatch)
	switch {
	case c.hatchSeen.IsZero():
		c.hatched, c.swimming, c.lastSeen = 0, 0, w.look(k, lastDay)
		return c
	case late == "" && c.swimming == 0:
		late = "starved"
	}
	if late != "" && swim.After(c.hatchSeen) {
		c.lose(w, k, late, c.hatchSeen.Add(time.Duration(when*float64(swim.Sub(c.hatchSeen)))))
		c.swimming = 0
		return c
	}
	if c.swimSeen = w.firstLook(k, swim); c.swimSeen.IsZero() {
		c.swimming, c.lastSeen = 0, w.look(k, lastDay)
	}
	return c
}

// lose notes the loss of a whole clutch at an instant. The look before the one
// that finds it was the last at which the clutch was there.
func (c *clutch) lose(w *world, k *keeper, cause string, at time.Time) {
	if !at.After(c.laidSeen) { // nobody misses eggs that were not seen yet
		at = c.laidSeen.Add(time.Minute)
	}
	found := w.firstLook(k, at)
	if found.IsZero() {
		c.lastSeen = w.look(k, lastDay)
		return
	}
	c.loss, c.lostSeen = cause, found
	c.lastSeen = w.look(k, dayOf(found, w.zone)-1)
	if c.lastSeen.Before(c.laidSeen) {
		c.lastSeen = c.laidSeen
	}
}
