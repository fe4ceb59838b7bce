package restoration

// TimeCorrection is what an owner asks to be put in the place of an entry's hours.
type TimeCorrection struct {
	ID     ID      // of the correction
	Ref    ID      // the entry
	Was    Minutes // what the entry counted for when the owner looked
	Hours  Minutes
	Reason string
}

// Event is the correction as the ledger takes it, without who and when; entries are those
// of [StepClockKinds] about the step. True when the correction was made before. The error is a
// [Problem].
func (c TimeCorrection) Event(entries []Entry) (e Event, done bool, err error) {
	for _, made := range entries {
		if made.Event.ID == c.ID {
			return e, true, nil
		}
	}
	for _, row := range Sheet(entries) {
		if row.Event.ID != c.Ref {
			continue
		}
		if row.Hours != c.Was {
			return e, false, Problemf(TroubleConflict, "hours", "The entry counts for %s by now. Look at it again, then correct that.", row.Hours.Decimal())
		}
		return Event{ID: c.ID, Kind: KindCorrect, CarID: row.Event.CarID, PieceID: row.Event.PieceID, StepID: row.Event.StepID,
			Payload: Payload{Ref: c.Ref, Hours: &c.Hours, Was: &row.Hours, Reason: c.Reason}}, false, nil
	}
	return e, false, Problemf(TroubleNotFound, "", "There is no such entry of hours. Look at the time sheet again.")
}
