package unit

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

func near(t *testing.T, want, got, relative float64, what string) {
	t.Helper()
	if math.Abs(want-got) > relative*math.Max(1, math.Abs(want)) {
		t.Errorf("%s: want %v, got %v", what, want, got)
	}
}

func mustLookup(t *testing.T, text string, q Quantity) Unit {
	t.Helper()
	u, ok := Lookup(text, q)
	require.True(t, ok, "%q should be a unit of %s", text, q)
	return u
}

func TestLookup(t *testing.T) {
	for _, c := range []struct {
		text string
		q    Quantity
		code string // empty = not a unit of the quantity
	}{
		{"°C", Temperature, "Cel"}, {"ºC", Temperature, "Cel"}, {"℃", Temperature, "Cel"}, {"c", Temperature, "Cel"}, {"Cel", Temperature, "Cel"},
		{"° F", Temperature, "[degF]"}, {"F", Temperature, "[degF]"}, {"[degF]", Temperature, "[degF]"}, {"K", Temperature, "K"},
		{"°", Temperature, ""}, {"", Temperature, ""}, {"ppm", Temperature, ""},
		{"°C", TempDiff, "K"}, {"°F", TempDiff, "[degF]"},
		{"hPa", Pressure, "hPa"}, {"mbar", Pressure, "mbar"}, {"mb", Pressure, "mbar"}, {"in Hg", Pressure, "[in_i'Hg]"}, {"mm Hg", Pressure, "mm[Hg]"},
		{"kPa", Pressure, "kPa"}, {"Pa", Pressure, "Pa"}, {"bar", Pressure, "bar"}, {"atm", Pressure, "atm"}, {"in", Pressure, ""},
		{"µS/cm", Conductivity, "uS/cm"}, {"μS/cm", Conductivity, "uS/cm"}, {"uS", Conductivity, "uS/cm"}, {"mS/cm", Conductivity, "mS/cm"},
		{"ppm", Conductivity, ""}, {"TDS", Conductivity, ""}, // a meter's factor is needed
		{"°dH", GH, degreeCode}, {"dGH", GH, degreeCode}, {"dKH", GH, ""}, {"dKH", KH, degreeCode}, {"ppm CaCO3", GH, "mg{CaCO3}/L"},
		{"mg/l CaCO3", KH, "mg{CaCO3}/L"}, {"mmol/l", GH, "mmol/L"}, {"mmol/l", KH, ""}, {"°fH", GH, "{fH}"}, {"°f", GH, "{fH}"},
		{"mg/L", GH, ""}, // of what?
		{"mg/l", Concentration, "mg/L"}, {"ppm", Concentration, "mg/L"}, {"NO3-N", Concentration, "mg{NO3-N}/L"},
		{"cm", Length, "cm"}, {`"`, Length, "[in_i]"}, {"ft.", Length, "[ft_i]"},
		{"%", Share, "%"}, {"L", Share, ""}, {"Std.", Hours, "h"}, {"Tage", Days, "d"}, {"weeks", Days, "wk"}, {"jours", Days, "d"},
		{"gal", Volume, ""}, {"gal (US)", Volume, "[gal_us]"}, {"l", Volume, "L"}, {"lux", Illuminance, "lx"}, {"fc", Illuminance, "lm/[ft_i]2"},
		{"pH", Acidity, "[pH]"}, {"°C", None, ""},
	} {
		u, ok := Lookup(c.text, c.q)
		require.Equal(t, c.code != "", ok, "%q as %s", c.text, c.q)
		require.Equal(t, c.code, u.Code, "%q as %s", c.text, c.q)
	}
}

func TestFindNamesEveryQuantity(t *testing.T) {
	var quantities []Quantity
	for _, u := range Find("°F") {
		quantities = append(quantities, u.Quantity)
	}
	require.Equal(t, []Quantity{Temperature, TempDiff, GH, KH}, quantities) // °f is also the French degree
	require.Empty(t, Find("parsec"))
}

func TestEveryUnitFindsItselfAndGoesThereAndBack(t *testing.T) {
	n := 0
	for _, q := range known().quantities {
		require.Equal(t, 1.0, ToCanonical(1, Canonical(q)), "canonical unit of %s", q)
		for _, u := range Units(q) {
			for _, text := range []string{u.Code, u.Name} {
				again, ok := Lookup(text, q)
				require.True(t, ok, text)
				require.Equal(t, u, again)
			}
			for _, v := range []float64{-40, 0, 0.3, 1, 29.92, 1013.25} {
				near(t, v, FromCanonical(ToCanonical(v, u), u), 1e-12, u.Name)
			}
			n++
		}
	}
	require.Greater(t, n, 50)
	require.Equal(t, 7.0, ToCanonical(7, Unit{}))
	require.Panics(t, func() { ToCanonical(1, Unit{Code: "hPa"}) })
}

// The wanted numbers are definitions (NIST SP 811, Appendix B) or follow from
// them, except where a line says otherwise.
func TestToCanonical(t *testing.T) {
	for _, c := range []struct {
		v        float64
		text     string
		q        Quantity
		want     float64
		relative float64
	}{
		{77, "°F", Temperature, 25, 0}, {-40, "°F", Temperature, -40, 0}, {212, "°F", Temperature, 100, 0}, {298.15, "K", Temperature, 25, 1e-15},
		{10, "°F", TempDiff, 50.0 / 9, 1e-15}, // 5.56 °C; a page prints 6.5 and is wrong
		{1.5, "K", TempDiff, 1.5, 0},
		{29.92, "inHg", Pressure, 1013.2075, 1e-7}, // standard atmosphere is 29.9213 inHg
		{760, "mmHg", Pressure, 1013.25, 2e-7},     // 760 conventional mmHg is 101325.0144 Pa
		{1, "mmHg", Pressure, 1.33322387415, 1e-15},
		{760, "Torr", Pressure, 1013.25, 1e-15}, {101.325, "kPa", Pressure, 1013.25, 1e-15}, {1, "atm", Pressure, 1013.25, 0}, {1.01325, "bar", Pressure, 1013.25, 1e-15},
		{14.6959487755, "psi", Pressure, 1013.25, 1e-10},
		{0.06, "inHg", PressureDiff, 2.0318, 1e-4}, // "falling rapidly" in US forecasts: 2.0 hPa
		{0.25, "mS/cm", Conductivity, 250, 0}, {0.25, "dS/m", Conductivity, 250, 0},
		{17.848, "ppm CaCO3", GH, 1, 1e-6}, {1, "mmol/L", GH, 5.60774, 1e-15}, {1, "°fH", GH, 0.5603, 1e-4}, {1, "Clark", GH, 0.79862, 1e-5}, {1, "gpg", GH, 0.95910, 1e-4},
		{1, "meq/L", KH, 2.80387, 1e-9}, // 2.805 in a glossary of the FAO
		{10, "NO3-N", Concentration, 44.268, 1e-6}, {250, "µg/L", Concentration, 0.25, 0},
		{1, "in", Length, 2.54, 0}, {1, "ft", Length, 30.48, 0}, {15, "mm", Length, 1.5, 0},
		{0.3, "fraction", Share, 30, 1e-15}, {90, "min", Hours, 1.5, 0}, {2, "weeks", Days, 14, 0}, {36, "h", Days, 1.5, 0},
		{10, "US gal", Volume, 37.85411784, 1e-15}, {10, "UK gal", Volume, 45.4609, 1e-15},
		{1, "fc", Illuminance, 10.763910417, 1e-9},
	} {
		near(t, c.want, ToCanonical(c.v, mustLookup(t, c.text, c.q)), c.relative, c.text)
	}
}

// The factors of testdata/conversions.csv were worked out apart from the code.
func TestConversionsAgainstTheList(t *testing.T) {
	names := map[string][]struct {
		q    Quantity
		text string
	}{
		"degF": {{Temperature, "[degF]"}}, "K": {{Temperature, "K"}}, "degC": {{Temperature, "Cel"}},
		"delta_degF": {{TempDiff, "[degF]"}}, "delta_K": {{TempDiff, "K"}}, "delta_degC": {{TempDiff, "K"}},
		"mbar": {{Pressure, "mbar"}, {PressureDiff, "mbar"}}, "Pa": {{Pressure, "Pa"}}, "kPa": {{Pressure, "kPa"}}, "bar": {{Pressure, "bar"}}, "atm": {{Pressure, "atm"}},
		"torr": {{Pressure, "Torr"}}, "mmHg": {{Pressure, "mm[Hg]"}, {PressureDiff, "mm[Hg]"}}, "inHg": {{Pressure, "[in_i'Hg]"}, {PressureDiff, "[in_i'Hg]"}}, "psi": {{Pressure, "[psi]"}},
		"hPa": {{Pressure, "hPa"}, {PressureDiff, "hPa"}},
		"in":  {{Length, "[in_i]"}}, "ft": {{Length, "[ft_i]"}}, "mm": {{Length, "mm"}}, "m": {{Length, "m"}}, "cm": {{Length, "cm"}},
		"US_gal": {{Volume, "[gal_us]"}}, "imp_gal": {{Volume, "[gal_br]"}}, "mL": {{Volume, "mL"}}, "L": {{Volume, "L"}},
		"mS/cm": {{Conductivity, "mS/cm"}}, "dS/m": {{Conductivity, "dS/m"}}, "mS/m": {{Conductivity, "mS/m"}}, "S/m": {{Conductivity, "S/m"}}, "uS/cm": {{Conductivity, "uS/cm"}},
		"dGH": {{GH, degreeCode}}, "mg/L_CaCO3": {{GH, "mg{CaCO3}/L"}, {KH, "mg{CaCO3}/L"}}, "mmol/L": {{GH, "mmol/L"}}, "fH_french": {{GH, "{fH}"}, {KH, "{fH}"}},
		"clark_english": {{GH, "{Clark}"}}, "gpg_US": {{GH, "gpg"}}, "meq/L": {{KH, "meq/L"}}, "dKH": {{KH, degreeCode}},
		"ppm": {{Concentration, "ppm"}}, "mg/L": {{Concentration, "mg/L"}},
		"footcandle": {{Illuminance, "fc"}}, "klux": {{Illuminance, "klx"}}, "lux": {{Illuminance, "lx"}},
		"h": {{Days, "h"}}, "min": {{Hours, "min"}}, "week": {{Days, "wk"}}, "d": {{Days, "d"}},
	}
	file, err := os.Open("testdata/conversions.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	checked := 0
	for _, r := range rows[1:] {
		factor, err := strconv.ParseFloat(r[2], 64)
		require.NoError(t, err)
		offset, err := strconv.ParseFloat(r[3], 64)
		require.NoError(t, err)
		for _, from := range names[r[0]] {
			for _, to := range names[r[1]] {
				if from.q != to.q {
					continue
				}
				a, b := mustLookup(t, from.text, from.q), mustLookup(t, to.text, to.q)
				for _, v := range []float64{0, 1, 77, 1013.25} {
					near(t, v*factor+offset, FromCanonical(ToCanonical(v, a), b), 1e-9, r[0]+" to "+r[1])
				}
				checked++
			}
		}
	}
	require.GreaterOrEqual(t, checked, 40, "most conversions of the list should have been checked")
}

func TestDifference(t *testing.T) {
	for from, want := range map[string]string{"°C": "K", "°F": "[degF]", "K": "K"} {
		d, ok := Difference(mustLookup(t, from, Temperature))
		require.True(t, ok)
		require.Equal(t, want, d.Code)
		require.Equal(t, TempDiff, d.Quantity)
	}
	d, ok := Difference(mustLookup(t, "inHg", Pressure))
	require.True(t, ok)
	require.Equal(t, PressureDiff, d.Quantity)
	_, ok = Difference(mustLookup(t, "cm", Length))
	require.False(t, ok)
}

func TestImplied(t *testing.T) {
	for _, c := range []struct {
		name   string
		values []float64
		q      Quantity
		code   string
		status Status
	}{
		{"celsius", []float64{24, 26.5, 22}, Temperature, "Cel", StatusImplied},
		{"fahrenheit", []float64{75, 78}, Temperature, "[degF]", StatusImplied},
		{"both in one column", []float64{24, 78}, Temperature, "", StatusNone},
		{"between the two", []float64{45}, Temperature, "", StatusNone},
		{"hectopascal", []float64{1013, 998.2}, Pressure, "hPa", StatusImplied},
		{"inches of mercury", []float64{29.92, 30.1}, Pressure, "[in_i'Hg]", StatusImplied},
		{"kilopascal", []float64{101.3}, Pressure, "kPa", StatusImplied},
		{"D32: inHg, mmHg and hPa mixed", []float64{29.92, 760, 1013}, Pressure, "", StatusNone},
		{"mmHg or hPa at altitude", []float64{755, 760}, Pressure, "", StatusAmbiguous},
		{"bar or atm", []float64{1.01}, Pressure, "", StatusAmbiguous},
		{"hPa at altitude", []float64{860, 865}, Pressure, "", StatusNone},
		{"microsiemens", []float64{80, 250}, Conductivity, "uS/cm", StatusImplied},
		{"microsiemens or millisiemens", []float64{50, 80}, Conductivity, "", StatusAmbiguous},
		{"German degrees or ppm", []float64{4, 8, 12}, GH, "", StatusAmbiguous},
		{"ppm", []float64{60, 150}, GH, "mg{CaCO3}/L", StatusImplied},
		{"percent", []float64{0, 20, 30}, Share, "%", StatusImplied},
		{"percent or fraction", []float64{0.2, 0.5}, Share, "", StatusAmbiguous},
		{"zero is zero", []float64{0, 0}, Share, "%", StatusImplied},
		{"pH has one unit", []float64{6.5}, Acidity, "[pH]", StatusSole},
		{"nitrate", []float64{10, 40}, Concentration, "mg/L", StatusImplied},
		{"hours of light", []float64{10, 12}, Hours, "h", StatusImplied},
		{"days", []float64{7, 14}, Days, "d", StatusImplied},
		{"days or weeks", []float64{2, 3}, Days, "", StatusAmbiguous},
		{"cm or inches", []float64{5, 10}, Length, "", StatusAmbiguous},
		{"differences", []float64{3}, TempDiff, "", StatusAmbiguous},
		{"differences", []float64{-6}, PressureDiff, "", StatusAmbiguous},
		{"a number that is none", []float64{24, math.NaN()}, Temperature, "", StatusNone},
		{"nothing", nil, Temperature, "", StatusEmpty},
		{"counts", []float64{3}, None, "", StatusSole},
	} {
		u, status := Implied(c.values, c.q)
		require.Equal(t, c.status, status, c.name)
		require.Equal(t, c.code, u.Code, c.name)
	}
}

func TestTypedValues(t *testing.T) {
	f := mustLookup(t, "°F", Temperature)
	near(t, 25, float64(ToCelsius(77, f)), 0, "77 °F")
	near(t, 10.0/9, float64(ToCelsius(77, f).Minus(ToCelsius(75, f))), 1e-12, "77 - 75 °F")
	near(t, 10.0/9, float64(ToCelsiusDiff(2, mustLookup(t, "°F", TempDiff))), 1e-15, "2 °F apart")
	near(t, 23, float64(Celsius(25).Plus(-2)), 0, "25 - 2")
	require.Panics(t, func() { ToCelsiusDiff(2, f) }, "a temperature is no difference")
	near(t, -6, float64(ToHectopascal(1007, Canonical(Pressure)).Minus(1013)), 1e-12, "fall")
	require.Panics(t, func() { ToHectopascalDiff(2, Canonical(Pressure)) })
}

func TestLimits(t *testing.T) {
	for _, c := range []struct {
		name string
		v    float64
		want Standing
	}{
		{"water_temp", 25, Usual}, {"water_temp", 12, Unusual}, {"water_temp", 77, Impossible}, {"water_temp", math.NaN(), Impossible},
		{"pressure_change_24h", -100, Impossible}, // a fall that some texts tell of and no weather brings
		{"pressure_change_24h", -30, Unusual}, {"pressure_change_24h", -8, Usual},
		{"pH", 14.1, Impossible}, {"water_change", 101, Impossible}, {"water_change", 100, Unusual},
	} {
		l, ok := LimitsOf(c.name)
		require.True(t, ok, c.name)
		require.Equal(t, c.want, l.Judge(c.v), "%s %v", c.name, c.v)
	}
	_, ok := LimitsOf("nothing")
	require.False(t, ok)
	require.Greater(t, len(LimitNames()), 40)
	for _, name := range LimitNames() {
		l, _ := LimitsOf(name)
		require.True(t, l.HardMin <= l.SoftMin && l.SoftMin <= l.SoftMax && l.SoftMax <= l.HardMax, name)
	}
}

func TestSensorFault(t *testing.T) {
	c, f, hPa := mustLookup(t, "°C", Temperature), mustLookup(t, "°F", Temperature), mustLookup(t, "hPa", Pressure)
	require.True(t, SensorFault(-127, c))
	require.True(t, SensorFault(85, c))
	require.False(t, SensorFault(85, f))
	require.True(t, SensorFault(-999, hPa))
	require.False(t, SensorFault(999, hPa))
	require.False(t, SensorFault(24.5, c))
}

func BenchmarkLookup(b *testing.B) {
	for b.Loop() {
		Lookup("µS/cm", Conductivity)
	}
}

func BenchmarkToCanonical(b *testing.B) {
	u, _ := Lookup("°F", Temperature)
	for b.Loop() {
		ToCanonical(77, u)
	}
}
