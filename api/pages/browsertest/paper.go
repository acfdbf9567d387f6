package browsertest

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"
)

// PaperText reads the text of a PDF and counts its sheets. Where nothing reads PDF
// files the test is skipped, and says what to install.
func PaperText(t testing.TB, file []byte) (text string, sheets int) {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext: install it (Debian: apt-get install poppler-utils)")
	}
	command := exec.Command("pdftotext", "-layout", "-", "-")
	command.Stdin = bytes.NewReader(file)
	out, err := command.Output()
	if err != nil {
		t.Fatalf("read the PDF: %v", err)
	}
	text = string(out)
	return text, strings.Count(text, "\f") // each sheet ends with one
}
