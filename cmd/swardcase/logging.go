package main

import (
	"fmt"
	"io"
	"log/slog"
	"regexp"
)

// newLogger logs as it is set, and never a secret.
func newLogger(to io.Writer, c configuration) *slog.Logger {
	options := &slog.HandlerOptions{Level: c.logLevel, ReplaceAttr: hideSecrets}
	if c.logFormat == "text" {
		return slog.New(slog.NewTextHandler(to, options))
	}
	return slog.New(slog.NewJSONHandler(to, options))
}

// Secrets have forms of their own. Nothing that is logged is meant to hold one;
// this is for the text of an error or a panic that was not thought of.
var (
	ownSecret     = regexp.MustCompile(`\b(sw[a-z])_[A-Za-z0-9_-]{8,}`)
	authorization = regexp.MustCompile(`(?i)\b(bearer|basic|cookie:)\s+\S+`)
	urlPassword   = regexp.MustCompile(`(://[^\s:/@]*):[^\s@]*@`)
	dsnPassword   = regexp.MustCompile(`(?i)\b(password|sslpassword)=('[^']*'|[^\s&]*)`)
)

func hideSecretsIn(text string) string {
	text = ownSecret.ReplaceAllString(text, "${1}_[hidden]")
	text = authorization.ReplaceAllString(text, "$1 [hidden]")
	text = urlPassword.ReplaceAllString(text, "$1:[hidden]@")
	return dsnPassword.ReplaceAllString(text, "$1=[hidden]")
}

// hideSecrets looks through what is text, and through what would be written as text.
func hideSecrets(_ []string, a slog.Attr) slog.Attr {
	switch value := a.Value.Any().(type) {
	case string:
		a.Value = slog.StringValue(hideSecretsIn(value))
	case error:
		a.Value = slog.StringValue(hideSecretsIn(value.Error()))
	case fmt.Stringer:
		if a.Value.Kind() == slog.KindAny {
			a.Value = slog.StringValue(hideSecretsIn(value.String()))
		}
	}
	return a
}
