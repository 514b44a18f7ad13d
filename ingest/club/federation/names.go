package federation

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"gravid/ingest/club"
	"gravid/ingest/club/atomicfile"
)

// KeyFile is the file in a club's folder with the key of its pseudonyms. It stays with
// the club: whoever has it can tell from a name whether it belongs to a pseudonym.
const KeyFile = "federation-key"

const keyBytes = 32

// Names makes the pseudonyms of one club: the same name always gives the same one, also
// in another year's export, and without the key no name can be told or tried. Two names
// with one pseudonym are an error, kept until Err is asked.
//
// They are the first 64 bits of HMAC-SHA-256 (RFC 2104) under the club's key.
type Names struct {
	key   []byte
	given map[string]string // pseudonym -> name
	known map[string]string // name -> pseudonym
	err   error
}

// NewNames returns the pseudonyms under a key of 32 bytes.
func NewNames(key []byte) (*Names, error) {
	if len(key) != keyBytes {
		return nil, fmt.Errorf("the key of pseudonyms has %d bytes, not %d", len(key), keyBytes)
	}
	return &Names{key: key, given: map[string]string{}, known: map[string]string{}}, nil
}

// NamesOf returns the pseudonyms of a club, with its key, which is drawn by chance where
// the club has none yet.
func NamesOf(root *os.Root) (*Names, error) {
	text, err := root.ReadFile(KeyFile)
	if errors.Is(err, fs.ErrNotExist) {
		key := make([]byte, keyBytes)
		rand.Read(key) // never fails
		text = []byte(hex.EncodeToString(key) + "\n")
		err = atomicfile.WriteIn(root, KeyFile, func(w io.Writer) error {
			_, err := w.Write(text)
			return err
		})
	}
	if err != nil {
		return nil, err
	}
	key, err := hex.DecodeString(strings.TrimSpace(string(text)))
	if err != nil || len(key) != keyBytes {
		return nil, &club.Fault{
			Path: KeyFile, What: fmt.Sprintf("is not a key of %d hexadecimal digits", 2*keyBytes),
			Fix: "take it from a copy of the club's folder; without it, delete the file, and all pseudonyms will be new", Err: club.ErrDamaged,
		}
	}
	return NewNames(key)
}

// Err tells of two names that got the same pseudonym.
func (n *Names) Err() error { return n.err }

// of is the pseudonym of a name of one kind (one letter, which it begins with); nothing
// for no name. within are names that it is meant within: the tank of a keeper.
func (n *Names) of(kind string, name string, within ...string) string {
	if name == "" {
		return ""
	}
	whole := kind + "\x00" + strings.Join(append(within, name), "\x00")
	if p, known := n.known[whole]; known {
		return p
	}
	mac := hmac.New(sha256.New, n.key)
	mac.Write([]byte(whole))
	p := kind + hex.EncodeToString(mac.Sum(nil)[:8])
	if other, taken := n.given[p]; taken && other != whole && n.err == nil {
		n.err = fmt.Errorf("two names have the pseudonym %s", p)
	}
	n.given[p], n.known[whole] = whole, p
	return p
}

// Keeper is the pseudonym of a keeper.
func (n *Names) Keeper(name string) string { return n.of("k", name) }

// Place is the pseudonym of a place.
func (n *Names) Place(name string) string { return n.of("p", name) }

func (n *Names) system(name, keeper string) string { return n.of("t", name, keeper) }

// Hide returns the tables as the federation sees them: names replaced, what people wrote
// in their own words left out, and neither problems nor sources. The tables given are not
// changed.
func (n *Names) Hide(t *club.Tables) club.Tables {
	out := club.Tables{
		Attempts: make([]club.Attempt, len(t.Attempts)), Clutches: make([]club.Clutch, len(t.Clutches)),
		Readings: make([]club.Reading, len(t.Readings)), Actions: make([]club.Action, len(t.Actions)),
	}
	for i, a := range t.Attempts {
		a.ID, a.System, a.Keeper = n.of("a", a.ID), n.system(a.System, a.Keeper), n.Keeper(a.Keeper)
		a.SpeciesAsWritten, a.Notes, a.Source, a.Own = "", "", club.Source{}, nil
		out.Attempts[i] = a
	}
	for i, c := range t.Clutches {
		c.ID, c.AttemptID = n.of("c", c.ID), n.of("a", c.AttemptID)
		c.System, c.Keeper = n.system(c.System, c.Keeper), n.Keeper(c.Keeper)
		c.HatchAid, c.Notes, c.Source = "", "", club.Source{}
		out.Clutches[i] = c
	}
	for i, r := range t.Readings {
		r.System, r.Keeper, r.Place = n.system(r.System, r.Keeper), n.Keeper(r.Keeper), n.Place(r.Place)
		r.Source = club.Source{}
		out.Readings[i] = r
	}
	for i, a := range t.Actions {
		a.System, a.Keeper = n.system(a.System, a.Keeper), n.Keeper(a.Keeper)
		a.Source = club.Source{}
		out.Actions[i] = a
	}
	return out
}
