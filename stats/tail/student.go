package tail

import "math"

// StudentUpper is P(T >= t) for Student's t with df degrees of freedom, which
// may be infinite (the normal distribution).
func StudentUpper(t, df float64) float64 {
	half := StudentTwoSided(t, df) / 2
	if t < 0 {
		return 1 - half
	}
	return half
}

// StudentTwoSided is P(|T| >= |t|) for Student's t with df degrees of freedom,
// which may be infinite.
func StudentTwoSided(t, df float64) float64 {
	if math.IsInf(df, 1) {
		return NormalTwoSided(t)
	}
	_, upper := logStudentTails(math.Abs(t), df)
	return math.Exp(upper)
}

// logStudentTails returns the logarithms of P(|T| <= t) and P(|T| >= t), for t >= 0.
func logStudentTails(t, df float64) (lower, upper float64) {
	const far = 1e75 // relative to sqrt(df); from here the tail is a power of t
	r := t / math.Sqrt(df)
	if r > far {
		_, upper = logStudentTails(far*math.Sqrt(df), df)
		return 0, upper - df*(math.Log(r)-math.Log(far))
	}
	x, y := shares(r*r, 1)
	return logBetaTails(0.5, df/2, x, y)
}

// StudentQuantile is the t with P(T <= t) = p.
func StudentQuantile(p, df float64) float64 {
	if p > 0.5 {
		return StudentUpperQuantile(1-p, df)
	}
	return -StudentUpperQuantile(p, df)
}

// StudentUpperQuantile is the t with P(T >= t) = q; unlike
// StudentQuantile(1-q, df) it keeps a small q.
func StudentUpperQuantile(q, df float64) float64 {
	switch {
	case math.IsInf(df, 1):
		return NormalUpperQuantile(q)
	case q > 0.5:
		return -StudentUpperQuantile(1-q, df)
	}
	return positiveQuantile(1-2*q, 2*q, !(df > 0), func(t float64) (float64, float64) { return logStudentTails(t, df) })
}
