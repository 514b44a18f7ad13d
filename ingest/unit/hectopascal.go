package unit

// Hectopascal is an air pressure, HectopascalDiff a difference between two.
type (
	Hectopascal     float64
	HectopascalDiff float64
)

// ToHectopascal converts an air pressure. It panics when u is not a unit of
// air pressure.
func ToHectopascal(v float64, u Unit) Hectopascal { return Hectopascal(convert(v, u, Pressure)) }

// ToHectopascalDiff converts a difference of air pressures. It panics when u is
// not a unit of pressure difference.
func ToHectopascalDiff(v float64, u Unit) HectopascalDiff {
	return HectopascalDiff(convert(v, u, PressureDiff))
}

// Minus returns how much higher p is than other; a fall is negative.
func (p Hectopascal) Minus(other Hectopascal) HectopascalDiff { return HectopascalDiff(p - other) }
