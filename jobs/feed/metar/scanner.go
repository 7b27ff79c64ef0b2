package metar

// scanner walks over the groups of a report without copying them. Blanks,
// line ends and control characters separate groups.
type scanner struct {
	text string
	at   int
}

// next gives the next group, "" at the end.
func (s *scanner) next() string {
	for s.at < len(s.text) && s.text[s.at] <= ' ' {
		s.at++
	}
	start := s.at
	for s.at < len(s.text) && s.text[s.at] > ' ' {
		s.at++
	}
	return s.text[start:s.at]
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

func isCapital(b byte) bool { return 'A' <= b && b <= 'Z' }

// leadingDigits counts the digits that s begins with.
func leadingDigits(s string) int {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return n
}

// allDigits says whether s is exactly n digits.
func allDigits(s string, n int) bool {
	return len(s) == n && leadingDigits(s) == n
}

// number reads a string of digits; the caller has checked that it is one and
// that it is short.
func number(digits string) int {
	n := 0
	for i := range len(digits) {
		n = 10*n + int(digits[i]-'0')
	}
	return n
}
