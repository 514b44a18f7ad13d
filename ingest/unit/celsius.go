package unit

// Celsius is a point on the Celsius scale, CelsiusDiff a difference between two
// such points. They do not mix: a difference of 10 °F is 5.6 °C, a temperature
// of 10 °F is -12.2 °C.
type (
	Celsius     float64
	CelsiusDiff float64
)

// ToCelsius converts a temperature. It panics when u is not a unit of
// temperature.
func ToCelsius(v float64, u Unit) Celsius { return Celsius(convert(v, u, Temperature)) }

// ToCelsiusDiff converts a difference of temperatures. It panics when u is not
// a unit of temperature difference.
func ToCelsiusDiff(v float64, u Unit) CelsiusDiff { return CelsiusDiff(convert(v, u, TempDiff)) }

// Minus returns how much warmer t is than other.
func (t Celsius) Minus(other Celsius) CelsiusDiff { return CelsiusDiff(t - other) }

// Plus returns the temperature that is warmer than t by d.
func (t Celsius) Plus(d CelsiusDiff) Celsius { return t + Celsius(d) }

// convert is ToCanonical for callers who know the quantity.
func convert(v float64, u Unit, q Quantity) float64 {
	if u.Quantity != q {
		panic("unit: " + u.Code + " is not a unit of " + string(q))
	}
	return ToCanonical(v, u)
}
