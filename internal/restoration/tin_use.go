package restoration

import (
	"time"

	"scumble/internal/coating"
)

// TinUse is what a tin gave in a month.
type TinUse struct {
	Month    time.Time // its first day, midnight UTC
	Kind     coating.Kind
	Material string
	Part     int    // of the mix; 0 is the paint itself
	PartName string // as the sheet calls it
	Lot      int64
	Number   string // of the tin
	ML       float64
}
