// Package access makes and checks what lets a person or a tablet in: PINs and
// passwords, the tokens of tablets and progress links, and the short codes that
// enrol a tablet.
//
// It keeps nothing and knows no database: callers keep the hashes that it gives
// and nothing else. Counting misses, locking, ending and revoking are left to the
// store; limiting how often somebody may try is left to the web.
package access
