package unit

import "slices"

// Factors that several units share. UCUM rounds the metre of mercury to
// 133.3220 kPa; conventional mercury (13 595.1 kg/m³ under 9.80665 m/s²) is
// what barometers mean, and is used here.
const (
	hPaPerMmHg = 1.33322387415         // conventional millimetre of mercury
	hPaPerInHg = 25.4 * hPaPerMmHg     // 25.4 mm to the inch, exact
	hPaPerPsi  = 68.947572931783       // 0.45359237 kg * 9.80665 m/s² over (0.0254 m)², in hPa
	hPaPerTorr = 1013.25 / 760         // definition, exact
	cmPerFoot  = 30.48                 // definition, exact
	cmPerInch  = 2.54                  // definition, exact
	litrePerUS = 3.785411784           // 231 cubic inches, exact
	litrePerUK = 4.54609               // definition, exact
	grain      = 64.79891              // mg, definition, exact
	molarCaO   = 56.0774               // g/mol
	molarCaCO3 = 100.0869              // g/mol
	mgCaCO3    = 10 * molarCaCO3       // mg/L of CaCO3 in molarCaO German degrees
	molarNO3   = 62.0049               // g/mol
	molarN     = 14.0067               // g/mol
	luxPerFc   = 1 / (0.3048 * 0.3048) // one lumen on a square foot, exact
	milliequiv = molarCaCO3 / 2        // mg/L of CaCO3 in one meq/L
	degreeCode = "10.mg{CaO}/L"        // one German degree; UCUM has no code of its own
	endless    = 1e12                  // end of a span without an upper end
)

// stated is a unit with the ways in which it is written and the values that a
// keeper's log states in it.
type stated struct {
	Unit
	written []string

	// Spans for Implied. plausible holds the values that speak for the unit,
	// possible those that it could have. A unit without spans is never implied
	// and rules no other unit out.
	plausible, possible span
}

type span struct{ from, to float64 }

func (s span) holds(v float64) bool { return s != span{} && v >= s.from && v <= s.to }

// scaled declares a unit that is a multiple of the canonical one.
func scaled(q Quantity, code, name string, factor, divisor float64, written ...string) stated {
	return stated{Unit: Unit{Code: code, Name: name, Quantity: q, factor: factor, divisor: divisor}, written: written}
}

// offset gives the unit a zero that is not that of the canonical unit.
func (s stated) offset(zero float64) stated {
	s.zero = zero
	return s
}

// fits gives the unit one span for both: plausible and possible.
func (s stated) fits(from, to float64) stated {
	s.plausible, s.possible = span{from, to}, span{from, to}
	return s
}

// could widens the span of possible values.
func (s stated) could(from, to float64) stated {
	s.possible = span{from, to}
	return s
}

// declared is the closed list of units, the canonical unit of each quantity
// first. Codes are UCUM, with annotations in braces where UCUM has no unit.
//
// Spans are judgement, most of them after the limits in limits.csv; SOURCES.md
// says more.
func declared() []stated {
	return slices.Concat(
		[]stated{
			scaled(Temperature, "Cel", "°C", 1, 1, "C", "deg C", "degC", "degrees C", "celsius", "degrees celsius", "grad C", "grad celsius", "grados C", "° celsius").fits(10, 40),
			scaled(Temperature, "[degF]", "°F", 5, 9, "F", "deg F", "degF", "degrees F", "fahrenheit", "degrees fahrenheit", "° fahrenheit").offset(32).fits(50, 104),
			scaled(Temperature, "K", "K", 1, 1, "kelvin").offset(273.15),

			scaled(TempDiff, "K", "°C difference", 1, 1, "°C", "C", "Cel", "deg C", "degC", "kelvin", "celsius", "degrees C"),
			scaled(TempDiff, "[degF]", "°F difference", 5, 9, "°F", "F", "deg F", "degF", "fahrenheit", "degrees F"),
		},
		pressures(Pressure), pressures(PressureDiff),
		[]stated{
			scaled(Conductivity, "uS/cm", "µS/cm", 1, 1, "µS", "microsiemens", "mikrosiemens", "microsiemens/cm", "mikrosiemens/cm").fits(5, 2000).could(0, 100000),
			scaled(Conductivity, "mS/cm", "mS/cm", 1000, 1, "mS", "millisiemens", "millisiemens/cm").fits(0.005, 56).could(0, 100),
			scaled(Conductivity, "dS/m", "dS/m", 1000, 1),
			scaled(Conductivity, "mS/m", "mS/m", 10, 1),
			scaled(Conductivity, "S/m", "S/m", 10000, 1),

			scaled(Acidity, "[pH]", "pH", 1, 1, "pH units", "pH unit").fits(0, 14),

			// Below about 40 a number can be German degrees or ppm: nothing is implied there.
			scaled(GH, degreeCode, "°dH", 1, 1, "dH", "°d", "dGH", "°dGH", "°GH", "deg dH", "degrees dH").fits(0, 30).could(0, 40),
			scaled(GH, "mg{CaCO3}/L", "mg/L CaCO3", molarCaO, mgCaCO3, "ppm", "ppm CaCO3", "CaCO3 ppm", "mg/L as CaCO3", "ppm as CaCO3", "[ppm]").fits(0, 1000),
			scaled(GH, "mmol/L", "mmol/L", molarCaO/10, 1).fits(0, 8),
			scaled(GH, "{fH}", "°fH", molarCaO, molarCaCO3, "fH", "°f", "f", "TH", "°TH").fits(0, 100),
			scaled(GH, "{Clark}", "°e (Clark)", grain*molarCaO, litrePerUK*mgCaCO3, "°e", "°clark", "clark", "°eH", "°dClark"),
			scaled(GH, "[gr]/[gal_us]", "grains per US gallon", grain*molarCaO, litrePerUS*mgCaCO3, "gpg", "gpg US", "grains/gal"),

			scaled(KH, degreeCode, "°dH", 1, 1, "dH", "°d", "dKH", "°dKH", "°KH", "deg dH", "degrees dH").fits(0, 25).could(0, 40),
			scaled(KH, "mg{CaCO3}/L", "mg/L CaCO3", molarCaO, mgCaCO3, "ppm", "ppm CaCO3", "CaCO3 ppm", "mg/L as CaCO3", "ppm as CaCO3", "[ppm]").fits(0, 1000),
			scaled(KH, "meq/L", "meq/L", milliequiv*molarCaO, mgCaCO3, "mval/L").fits(0, 15),
			scaled(KH, "{fH}", "°fH", molarCaO, molarCaCO3, "fH", "°f", "f", "TAC").fits(0, 100),

			scaled(Concentration, "mg/L", "mg/L", 1, 1, "ppm", "[ppm]", "mg per litre", "mg per liter", "mg pro Liter", "mg L-1").fits(0, 1000),
			scaled(Concentration, "ug/L", "µg/L", 1, 1000, "ppb", "[ppb]"),
			scaled(Concentration, "mg{NO3-N}/L", "mg/L NO3-N", molarNO3, molarN, "NO3-N", "mg/L as N", "ppm NO3-N", "mg/L N"),

			scaled(Length, "cm", "cm", 1, 1, "centimetre", "centimetres", "centimeter", "centimeters", "Zentimeter").fits(0, endless),
			scaled(Length, "mm", "mm", 1, 10, "millimetre", "millimetres", "millimeter", "millimeters").fits(0, endless),
			scaled(Length, "m", "m", 100, 1, "metre", "metres", "meter", "meters").fits(0, endless),
			scaled(Length, "[in_i]", "in", cmPerInch, 1, `"`, "inch", "inches", "Zoll", "pouces", "pulgadas").fits(0, endless),
			scaled(Length, "[ft_i]", "ft", cmPerFoot, 1, "'", "foot", "feet", "Fuß", "pieds", "pies").fits(0, endless),

			scaled(Share, "%", "%", 1, 1, "percent", "per cent", "pct", "prozent", "pour cent", "por ciento").fits(0, 100),
			scaled(Share, "1", "fraction", 100, 1, "share", "0-1", "0..1", "Anteil").fits(0, 1),

			scaled(Hours, "h", "h", 1, 1, "hr", "hrs", "hour", "hours", "Std", "Stunde", "Stunden", "heure", "heures", "hora", "horas", "h/d", "h/day", "hours/day", "hrs/day", "h per day", "hours per day", "h/Tag", "Std/Tag", "Stunden/Tag", "h/jour", "heures/jour", "h/j", "h/día", "h/dia", "horas/día").fits(0, 24),
			scaled(Hours, "min", "min", 1, 60, "mins", "minute", "minutes", "Minuten", "minutos").fits(60, 1440),
			scaled(Hours, "d", "days", 24, 1, "day", "Tag", "Tage", "jour", "jours", "día", "días", "dias"),

			// Eight weeks of conditioning, or three days of it in hours, are the
			// most and the least that a bare number could mean in those units.
			scaled(Days, "d", "days", 1, 1, "day", "Tag", "Tage", "Tagen", "jour", "jours", "j", "día", "días", "dias").fits(0, 365),
			scaled(Days, "wk", "weeks", 7, 1, "week", "wks", "w", "Wo", "Woche", "Wochen", "semaine", "semaines", "sem", "semana", "semanas").fits(0, 8),
			scaled(Days, "h", "hours", 1, 24, "hr", "hrs", "hour", "Std", "Stunden", "heures", "horas").fits(72, 8760),
			scaled(Days, "min", "minutes", 1, 1440, "mins", "minute", "Minuten", "minutos"),

			// A bare "gal" is not in the list: it can be US or imperial.
			scaled(Volume, "L", "L", 1, 1, "litre", "litres", "liter", "liters", "ltr", "ltrs", "litro", "litros").fits(0, endless),
			scaled(Volume, "mL", "mL", 1, 1000, "millilitre", "millilitres", "milliliter", "milliliters").fits(0, endless),
			scaled(Volume, "[gal_us]", "US gal", litrePerUS, 1, "gal (US)", "gal US", "US gallon", "US gallons", "gallons (US)").fits(0, endless),
			scaled(Volume, "[gal_br]", "imperial gal", litrePerUK, 1, "imp gal", "UK gal", "gal (imp)", "gal (UK)", "imp. gal", "imperial gallon", "imperial gallons").fits(0, endless),

			scaled(Illuminance, "lx", "lx", 1, 1, "lux").fits(0, endless),
			scaled(Illuminance, "klx", "klx", 1000, 1, "klux", "kilolux").fits(0, endless),
			scaled(Illuminance, "lm/[ft_i]2", "foot-candles", luxPerFc, 1, "fc", "ftc", "ft-c", "foot-candle", "footcandle", "footcandles").fits(0, endless),
		},
	)
}

// pressures are the units of air pressure. Only a pressure has spans: a
// difference fits every unit.
//
// 650 to 815 can be millimetres of mercury or hectopascal at altitude, so
// nothing is implied there.
func pressures(q Quantity) []stated {
	list := []stated{
		scaled(q, "hPa", "hPa", 1, 1, "hectopascal", "hectopascals", "Hektopascal").fits(870, 1085).could(500, 1100),
		scaled(q, "mbar", "mbar", 1, 1, "mb", "millibar", "millibars").fits(870, 1085).could(500, 1100),
		scaled(q, "[in_i'Hg]", "inHg", hPaPerInHg, 1, "in Hg", `"Hg`, "inches Hg", "in. Hg", "inches of mercury").fits(25.7, 32.0),
		scaled(q, "mm[Hg]", "mmHg", hPaPerMmHg, 1, "mm Hg", "mm of mercury").fits(650, 815),
		scaled(q, "Torr", "Torr", hPaPerTorr, 1).fits(650, 815),
		scaled(q, "kPa", "kPa", 10, 1, "kilopascal", "Kilopascal").fits(87, 108.5),
		scaled(q, "Pa", "Pa", 1, 100, "pascal").fits(87000, 108500),
		scaled(q, "bar", "bar", 1000, 1, "bars").fits(0.87, 1.085),
		scaled(q, "atm", "atm", 1013.25, 1, "atmosphere", "atmospheres").fits(0.858, 1.071),
		scaled(q, "[psi]", "psi", hPaPerPsi, 1, "lb/in2", "lbf/in2").fits(12.6, 15.74),
	}
	if q == PressureDiff {
		for i := range list {
			list[i].plausible, list[i].possible = span{}, span{}
		}
	}
	return list
}
