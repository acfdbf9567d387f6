//go:build !race

package api_test

const underRaceDetector = false
