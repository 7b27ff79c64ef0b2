package page_test

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"
)

// icsLine is one content line, unfolded, with its value as it stands.
type icsLine struct{ name, params, value string }

// icsComponent is a component of a calendar.
type icsComponent struct {
	name  string
	lines []icsLine
	kids  []*icsComponent
}

func (c *icsComponent) raw(name string) []string {
	var found []string
	for _, l := range c.lines {
		if l.name == name {
			found = append(found, l.value)
		}
	}
	return found
}

// one is the value of a property that stands once, as text.
func (c *icsComponent) one(name string) (string, error) {
	found := c.raw(name)
	if len(found) != 1 {
		return "", fmt.Errorf("%s stands %d times in a %s", name, len(found), c.name)
	}
	return unescaped(found[0])
}

func (c *icsComponent) all(name string) (kids []*icsComponent) {
	for _, k := range c.kids {
		if k.name == name {
			kids = append(kids, k)
		}
	}
	return kids
}

var icsName = regexp.MustCompile(`^([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=[^";:,\x00-\x1f\x7f]*)*):(.*)$`)

// readStrictly reads a calendar by the letter of RFC 5545 section 3.1 and 3.4,
// with no leniency: lines end with CR and LF, none is longer than 75 octets, none
// breaks a character, no control stands in one.
func readStrictly(body []byte) (*icsComponent, error) {
	text, ended := strings.CutSuffix(string(body), "\r\n")
	if !ended {
		return nil, fmt.Errorf("the last line is not ended")
	}
	var unfolded []string
	for i, l := range strings.Split(text, "\r\n") {
		switch {
		case len(l) > 75:
			return nil, fmt.Errorf("line %d has %d octets: %q", i+1, len(l), l)
		case !utf8.ValidString(l):
			return nil, fmt.Errorf("line %d breaks a character: %q", i+1, l)
		case strings.ContainsFunc(l, func(r rune) bool { return r < ' ' || r == 0x7f }):
			return nil, fmt.Errorf("line %d has a control character: %q", i+1, l)
		case strings.HasPrefix(l, " ") && i > 0:
			unfolded[len(unfolded)-1] += l[1:]
			continue
		}
		unfolded = append(unfolded, l)
	}
	var open []*icsComponent
	root := &icsComponent{}
	open = append(open, root)
	for _, l := range unfolded {
		parts := icsName.FindStringSubmatch(l)
		if parts == nil {
			return nil, fmt.Errorf("%q is no content line", l)
		}
		top := open[len(open)-1]
		switch parts[1] {
		case "BEGIN":
			c := &icsComponent{name: parts[3]}
			top.kids, open = append(top.kids, c), append(open, c)
		case "END":
			if len(open) < 2 || top.name != parts[3] {
				return nil, fmt.Errorf("END of %s in %s", parts[3], top.name)
			}
			open = open[:len(open)-1]
		default:
			top.lines = append(top.lines, icsLine{parts[1], parts[2], parts[3]})
		}
	}
	if len(open) != 1 || len(root.kids) != 1 || root.kids[0].name != "VCALENDAR" || len(root.lines) != 0 {
		return nil, fmt.Errorf("the calendar is not one whole VCALENDAR")
	}
	return root.kids[0], nil
}

// unescaped is a TEXT value as it was meant (RFC 5545 section 3.3.11). A
// backslash before anything else, or a bare comma or semicolon, is refused.
func unescaped(value string) (string, error) {
	var out strings.Builder
	for i := 0; i < len(value); i++ {
		switch value[i] {
		case ',', ';':
			return "", fmt.Errorf("%q stands bare in %q", value[i], value)
		case '\\':
			i++
			if i == len(value) || !strings.ContainsRune(`\;,nN`, rune(value[i])) {
				return "", fmt.Errorf("a backslash escapes nothing in %q", value)
			}
			if value[i] == 'n' || value[i] == 'N' {
				out.WriteByte('\n')
				continue
			}
			out.WriteByte(value[i])
		default:
			out.WriteByte(value[i])
		}
	}
	return out.String(), nil
}
