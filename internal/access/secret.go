package access

import (
	"errors"
	"fmt"
	"runtime"
	"sync"

	"github.com/alexedwards/argon2id"
)

// serverCost is what hashing one PIN or password takes: 19 MiB and three passes on
// one thread, some 60 ms on a small server. RFC 9106 asks for more memory than a
// machine of 1 GB can spare; a PIN's real guard is the lock after a few misses.
var serverCost = argon2id.Params{Memory: 19 * 1024, Iterations: 3, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// oneAtATime keeps a rush of sign-ins from taking 19 MiB each.
var oneAtATime sync.Mutex

// done lets the next in once the memory of this hash is free for it: collected whenever the
// runtime likes, several would lie side by side.
func done() {
	runtime.GC()
	oneAtATime.Unlock()
}

// HashSecret hashes a PIN or password with Argon2id (RFC 9106) and a fresh salt.
// The hash names its own cost, so that a later version may raise it. The secret
// is taken as it is: check it before with [CheckPIN] or [CheckPassword].
func HashSecret(secret string) (string, error) {
	return hashSecret(secret, serverCost)
}

func hashSecret(secret string, cost argon2id.Params) (string, error) {
	oneAtATime.Lock()
	defer done()
	hash, err := argon2id.CreateHash(secret, &cost)
	if err != nil {
		return "", fmt.Errorf("hash a secret: %w", err)
	}
	return hash, nil
}

// CheckSecret tells whether hash was made from secret. An empty hash, of somebody
// who has no such secret or isn't known at all, never matches but takes as long, so
// that the time taken doesn't tell who exists. The error says that the hash itself
// can't be read.
func CheckSecret(hash, secret string) (bool, error) {
	return checkSecret(hash, secret, serverCost)
}

func checkSecret(hash, secret string, emptyCost argon2id.Params) (bool, error) {
	if hash == "" {
		_, err := hashSecret(secret, emptyCost)
		return false, err
	}
	if err := readable(hash); err != nil {
		return false, err
	}
	oneAtATime.Lock()
	defer done()
	ok, err := argon2id.ComparePasswordAndHash(secret, hash)
	if err != nil {
		return false, fmt.Errorf("check a secret: %w", err)
	}
	return ok, nil
}

// readable refuses a hash whose cost would make the algorithm panic or take the
// machine's memory.
func readable(hash string) error {
	cost, _, key, err := argon2id.DecodeHash(hash)
	switch {
	case err != nil:
		return fmt.Errorf("read the hash of a secret: %w", err)
	case cost.Iterations < 1 || cost.Iterations > 20 || cost.Parallelism < 1 || cost.Memory > 256*1024 || len(key) < 16:
		return errors.New("read the hash of a secret: its cost is out of range")
	}
	return nil
}
