//go:build race

package api_test

// underRaceDetector: the detector makes every request about ten times as slow.
const underRaceDetector = true
