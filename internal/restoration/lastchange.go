package restoration

// LastChange tells what was said of a piece last, by the numbers that only grow: whoever
// keeps a page of the piece sees by them that it is not as it was. Nought is never.
type LastChange struct {
	Entry int64 // [Entry.Seq] of the newest entry, a refused one too
	Deed  int64 // [AuditRow.ID] of the newest deed that is no entry
}
