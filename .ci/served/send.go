package served

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
)

// Send makes a request, of JSON where there is a body, and reads all of the
// answer; headers come in pairs.
func Send(ctx context.Context, client *http.Client, method, url string, body []byte, headers ...string) (*http.Response, []byte, error) {
	r, err := http.NewRequestWithContext(ctx, method, url, bytes.NewReader(body))
	if err != nil {
		return nil, nil, err
	}
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	response, err := client.Do(r)
	if err != nil {
		return nil, nil, err
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	return response, text, err
}

// Post sends a document that must be answered with a status, and gives the id of
// what it became.
func (s *Service) Post(ctx context.Context, status int, path string, body []byte, headers ...string) (string, error) {
	response, answer, err := Send(ctx, http.DefaultClient, http.MethodPost, s.URL+path, body, headers...)
	if err != nil {
		return "", err
	}
	if response.StatusCode != status {
		return "", fmt.Errorf("%s answered %d, not %d: %.1000s", path, response.StatusCode, status, answer)
	}
	return IDOf(answer)
}

// IDOf reads the id of a thing that was made.
func IDOf(answer []byte) (string, error) {
	var made struct {
		ID string `json:"id"`
	}
	err := json.Unmarshal(answer, &made)
	return made.ID, err
}
