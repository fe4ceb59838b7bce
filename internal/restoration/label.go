package restoration

import (
	"fmt"
	"io"
	"strings"
)

// labelSigns are the signs of a label code: no two look alike when stamped in metal
// or worn (no 0/O/Q/D… pairs: of each group at most one stays). Their number, 23,
// is prime, so that the check sign finds every single wrong sign and every swap.
const labelSigns = "346789ACDEFHJKMNPRTUWXY"

// LabelLength is the number of signs of a label code, the check sign included.
const LabelLength = 5

// LabelSigns are the signs that a label code may have, in the order of a pad.
func LabelSigns() []string { return strings.Split(labelSigns, "") }

// NewLabel draws a label code from random bytes. The last sign is the check sign.
func NewLabel(random io.Reader) (string, error) { return drawCode(random, "", LabelLength) }

// drawCode draws a code of so many signs that begins with lead and ends with its check sign.
func drawCode(random io.Reader, lead string, length int) (string, error) {
	code := append(make([]byte, 0, length), lead...)
	buf := make([]byte, 1)
	for len(code) < length-1 {
		if _, err := io.ReadFull(random, buf); err != nil {
			return "", fmt.Errorf("drawing a label code: %w", err)
		}
		if int(buf[0]) < 256/len(labelSigns)*len(labelSigns) { // no sign likelier than another
			code = append(code, labelSigns[int(buf[0])%len(labelSigns)])
		}
	}
	return string(append(code, checkSign(string(code)))), nil
}

// CheckLabel reads a typed label code: case, blanks and hyphens don't matter. The
// error says what is wrong with it.
func CheckLabel(typed string) (string, error) {
	code := foldCode(typed)
	if len(code) != LabelLength {
		return "", Problemf(TroubleInvalid, "code", "A piece's label has %d signs, a place's %d; this has %d. Look at the label again.", LabelLength, PlaceCodeLength, len([]rune(code)))
	}
	if err := checkCode(code); err != nil {
		return "", err
	}
	return code, nil
}

func foldCode(typed string) string {
	return strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(typed))
}

// checkCode says what is wrong with the signs of a code of the right length.
func checkCode(code string) error {
	for _, sign := range code {
		if !strings.ContainsRune(labelSigns, sign) {
			return Problemf(TroubleInvalid, "code", "No label has the sign %q. Look at the label again.", sign)
		}
	}
	if end := len(code) - 1; checkSign(code[:end]) != code[end] {
		return Problemf(TroubleInvalid, "code", "%s can't be right: one sign is wrong or two are swapped. Look at the label again.", code)
	}
	return nil
}

// checkSign weighs each sign by its place, from 2 up, modulo 23.
func checkSign(code string) byte {
	sum := 0
	for i := range len(code) {
		sum += (i + 2) * strings.IndexByte(labelSigns, code[i])
	}
	return labelSigns[sum%len(labelSigns)]
}
