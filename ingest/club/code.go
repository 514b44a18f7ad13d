package club

import (
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// codePattern is what the name of a club's folder may be made of, so that every file
// system and every reader of partitioned tables takes it.
var codePattern = regexp.MustCompile(`^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$`)

// ClubCode is the club's code in a federation, or one made from its name: small letters
// without their marks, digits, and a hyphen for anything else. It is empty where the
// name has no such letter; then club.toml has to say it.
func (c Config) ClubCode() string {
	if c.Code != "" {
		return c.Code
	}
	var b strings.Builder
	for _, r := range norm.NFKD.String(strings.ToLower(c.Name)) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == 'ß':
			b.WriteString("ss")
		case unicode.Is(unicode.Mn, r): // the mark of a letter
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 60 {
			break
		}
	}
	return strings.Trim(b.String(), "-")
}
