package confidence

import (
	"crypto/sha256"
	"encoding/binary"
)

// golden is the increment of SplitMix64: the odd integer nearest to 2⁶⁴ divided
// by the golden ratio.
const golden = 0x9e3779b97f4a7c15

// streamKey starts the stream of one input: the first eight bytes of the SHA-256
// of the seed (eight bytes, big-endian) followed by the name. Streams of
// different names or seeds are offsets, 2⁶⁴ apart at random, into one sequence:
// 500 inputs of 100,000 draws overlap with a chance of about one in 10⁹.
func streamKey(seed int64, name string) uint64 {
	text := binary.BigEndian.AppendUint64(make([]byte, 0, 8+len(name)), uint64(seed))
	sum := sha256.Sum256(append(text, name...))
	return binary.BigEndian.Uint64(sum[:8])
}

// streamWord is the n-th word, counting from 0, of the SplitMix64 generator
// started at key, reached without those before it (Steele, Lea and Flood 2014,
// Fast splittable pseudorandom number generators, OOPSLA, with variant 13 of
// Stafford's mixing constants).
func streamWord(key, n uint64) uint64 {
	z := key + (n+1)*golden
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// uniform turns a word into a number strictly between 0 and 1: the middle of one
// of 2⁵² equal parts.
func uniform(word uint64) float64 {
	return (float64(word>>12) + 0.5) * 0x1p-52
}
