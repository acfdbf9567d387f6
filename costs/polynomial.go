package costs

import "math/big"

// polynomial holds whole coefficients, that of the lowest power first, none of
// them nil and the last not zero. Everything done with it is exact, so that a
// root is neither missed nor invented.
type polynomial []*big.Int

// newPolynomial drops what does not change the roots above zero: zeros at
// either end. It is empty where nothing is left.
func newPolynomial(coefficients []*big.Int) polynomial {
	coefficients = trimmed(coefficients)
	for len(coefficients) > 0 && coefficients[0].Sign() == 0 {
		coefficients = coefficients[1:]
	}
	return coefficients
}

// trimmed drops zeros of the highest powers.
func trimmed(coefficients []*big.Int) polynomial {
	for len(coefficients) > 0 && coefficients[len(coefficients)-1].Sign() == 0 {
		coefficients = coefficients[:len(coefficients)-1]
	}
	return coefficients
}

func (p polynomial) degree() int { return len(p) - 1 }

func (p polynomial) lead() *big.Int { return p[len(p)-1] }

// signChanges counts the changes of sign along the coefficients. By Descartes'
// rule there are at most that many roots above zero, and as many but for an even
// number; so none where there is no change and exactly one where there is one.
func (p polynomial) signChanges() int {
	return changes(len(p), func(i int) int { return p[i].Sign() })
}

// changes counts the changes in a row of signs, zeros passed over.
func changes(n int, sign func(int) int) (count int) {
	last := 0
	for i := range n {
		now := sign(i)
		if now != 0 && last != 0 && now != last {
			count++
		}
		if now != 0 {
			last = now
		}
	}
	return count
}

// signAt is the sign of the polynomial at numerator ÷ denominator, the
// denominator above zero: by Horner's rule on p(n/d) × d^degree.
func (p polynomial) signAt(numerator, denominator *big.Int) int {
	sum, power, term := new(big.Int), big.NewInt(1), new(big.Int)
	for i := len(p) - 1; i >= 0; i-- {
		sum.Mul(sum, numerator)
		sum.Add(sum, term.Mul(p[i], power))
		power.Mul(power, denominator)
	}
	return sum.Sign()
}

// derivative of the polynomial.
func (p polynomial) derivative() polynomial {
	out := make(polynomial, 0, len(p))
	for i := 1; i < len(p); i++ {
		out = append(out, new(big.Int).Mul(p[i], big.NewInt(int64(i))))
	}
	return trimmed(out)
}

// primitive divides by the greatest whole number that divides every
// coefficient, which is above zero and so changes no sign.
func (p polynomial) primitive() polynomial {
	content := new(big.Int)
	for _, coefficient := range p {
		content.GCD(nil, nil, content, new(big.Int).Abs(coefficient))
	}
	if content.Sign() == 0 || content.IsInt64() && content.Int64() == 1 {
		return p
	}
	out := make(polynomial, len(p))
	for i, coefficient := range p {
		out[i] = new(big.Int).Quo(coefficient, content)
	}
	return out
}

// divide is division without fractions: it finds quotient and remainder of
// some positive multiple of p.
func (p polynomial) divide(by polynomial) (quotient, remainder polynomial) {
	scale, sign := new(big.Int).Abs(by.lead()), int64(by.lead().Sign())
	rest := make(polynomial, len(p))
	for i := range p {
		rest[i] = new(big.Int).Set(p[i])
	}
	quotient = make(polynomial, max(0, len(p)-len(by)+1))
	for i := range quotient {
		quotient[i] = new(big.Int)
	}
	for len(rest) >= len(by) {
		shift := len(rest) - len(by)
		factor := new(big.Int).Mul(rest.lead(), big.NewInt(sign))
		for i := range quotient {
			quotient[i].Mul(quotient[i], scale)
		}
		quotient[shift].Add(quotient[shift], factor)
		for i := range rest {
			rest[i].Mul(rest[i], scale)
		}
		for i := range by {
			rest[shift+i].Sub(rest[shift+i], new(big.Int).Mul(factor, by[i]))
		}
		rest = trimmed(rest)
	}
	return trimmed(quotient), rest
}

// sturm is Sturm's chain of a polynomial: itself, its derivative, then each time
// the remainder with the other sign. The last has the repeated roots.
func (p polynomial) sturm() []polynomial {
	chain := []polynomial{p.primitive(), p.derivative().primitive()}
	for {
		last := chain[len(chain)-1]
		if last.degree() < 1 {
			return chain
		}
		_, remainder := chain[len(chain)-2].divide(last)
		if len(remainder) == 0 {
			return chain
		}
		for _, coefficient := range remainder {
			coefficient.Neg(coefficient)
		}
		chain = append(chain, remainder.primitive())
	}
}

// simple returns a polynomial with the same roots, each once, and its chain.
func (p polynomial) simple() (polynomial, []polynomial) {
	chain := p.sturm()
	repeated := chain[len(chain)-1]
	if repeated.degree() < 1 {
		return chain[0], chain
	}
	quotient, _ := chain[0].divide(repeated)
	return quotient.primitive(), quotient.primitive().sturm()
}

// chainChanges counts the changes of sign along a chain at a point. Between two
// points the difference is the number of roots above the lower and up to the
// upper one (Sturm's theorem).
func chainChanges(chain []polynomial, numerator, denominator *big.Int) int {
	return changes(len(chain), func(i int) int { return chain[i].signAt(numerator, denominator) })
}
