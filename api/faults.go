package api

import (
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// refuseSyntax says where a body stops being JSON, and what to do about it.
func refuseSyntax(err error) *problem {
	syntax, ok := errors.AsType[*jsontext.SyntacticError](err)
	if !ok {
		return refuse(malformedJSON, "the body ends in the middle of the record; send all of it")
	}
	why := reason(syntax.Err)
	var detail string
	switch {
	case errors.Is(err, jsontext.ErrDuplicateName):
		detail = fmt.Sprintf("the name %.60q stands twice in one object; keep the one that counts", syntax.JSONPointer.LastToken())
	case errors.Is(err, io.ErrUnexpectedEOF):
		detail = fmt.Sprintf("the body ends at byte %d, in the middle of its JSON; send all of it", syntax.ByteOffset)
	case strings.Contains(why, "UTF-8"):
		detail = fmt.Sprintf("the body isn't UTF-8 at byte %d; save or send the text as UTF-8", syntax.ByteOffset)
	case strings.Contains(why, "depth"):
		detail = fmt.Sprintf("the body goes too deep at byte %d; a record is an object of a few levels", syntax.ByteOffset)
	default:
		detail = fmt.Sprintf("the body stops being JSON at byte %d (%s); names and texts stand in double quotes, numbers and null without, "+
			"a comma only between two of them", syntax.ByteOffset, why)
	}
	p := refuse(malformedJSON, "%s", detail)
	p.Errors = []fault{{Pointer: new(shortened(string(syntax.JSONPointer))), Detail: detail}}
	return p
}

// shortened is a pointer that may come from a hostile body, cut to the nearest place around that can be told.
func shortened(pointer string) string {
	const most = 300
	for len(pointer) > most {
		pointer = pointer[:strings.LastIndexByte(pointer, '/')]
	}
	return pointer
}

// faultOf says in a grower's words why a field could not be read, and where in its value the fault lies. The pointers of err
// begin at an object that holds the member, or at the value itself if the member has no name.
func faultOf(err error, kind crop.Kind, m member) (crop.Fault, jsontext.Pointer) {
	wrong, ok := errors.AsType[*json.SemanticError](err)
	if !ok {
		return crop.Fault{Pointer: pointerOf(m), Detail: "can't be read: " + reason(err)}, ""
	}
	within := wrong.JSONPointer
	if m.name != "" {
		within = jsontext.Pointer(strings.TrimPrefix(string(within), pointerOf(m)))
	}
	at := string(wrong.JSONPointer)
	switch {
	case errors.Is(wrong.Err, json.ErrUnknownName) && within == "" && kind != "":
		return crop.Fault{Pointer: at, Detail: fmt.Sprintf("is not a field of %s; its fields are %s", kind, strings.Join(fieldsOf(kind), ", "))}, within
	case errors.Is(wrong.Err, json.ErrUnknownName):
		return crop.Fault{Pointer: at, Detail: "is not a field here; leave it out, or mend its name"}, within
	}
	value := shown(valueAt(m.value, within))
	if wrong.JSONKind == '0' && tooLarge(wrong.GoType, value) {
		return crop.Fault{Pointer: at, Detail: fmt.Sprintf("is %s, which is too large to be meant; mend the number", value)}, within
	}
	want := wanted(wrong.GoType)
	if want == "" { // a type that reads text says itself what it wants
		want = wantedText(wrong.GoType)
		if _, plain := errors.AsType[*time.ParseError](wrong.Err); wrong.JSONKind == '"' && wrong.Err != nil && !plain {
			return crop.Fault{Pointer: at, Detail: fmt.Sprintf("is %s, which is %s", value, reason(wrong.Err))}, within
		}
	}
	return crop.Fault{Pointer: at, Detail: fmt.Sprintf("is %s; it must be %s", value, want)}, within
}

func pointerOf(m member) string {
	if m.name == "" {
		return ""
	}
	return pointerTo(m.name)
}

// wanted names what a Go type is read from, and "" for those that read text.
func wanted(t reflect.Type) string {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t == nil {
		return "something else"
	}
	if reflect.PointerTo(t).Implements(textReader) {
		return ""
	}
	switch t.Kind() {
	case reflect.Int, reflect.Int64:
		return "a whole number, without quotes"
	case reflect.Float64:
		return "a number, with a decimal point and without quotes"
	case reflect.Bool:
		return "true or false, without quotes"
	case reflect.Slice:
		return "a list"
	case reflect.Struct, reflect.Map:
		return "an object"
	default:
		return "text in quotes"
	}
}

// tooLarge tells whether a number can't be read into a Go type because that doesn't reach so far.
func tooLarge(t reflect.Type, value string) bool {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t == nil:
		return false
	case t.Kind() == reflect.Int || t.Kind() == reflect.Int64:
		return strings.Trim(value, "-0123456789…") == "" // and no fraction or exponent, of which a whole number has none
	}
	return t.Kind() == reflect.Float64
}

// wantedText names what a type that reads text is read from.
func wantedText(t reflect.Type) string {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t {
	case reflect.TypeFor[crop.ID]():
		return "a UUID, in quotes"
	case reflect.TypeFor[crop.Date]():
		return "a day as YYYY-MM-DD, in quotes"
	case reflect.TypeFor[crop.Moment]():
		return "a time as RFC 3339 with an offset, or a day as YYYY-MM-DD, in quotes"
	case reflect.TypeFor[time.Time]():
		return "a time as RFC 3339 with an offset, such as 2026-02-03T08:15:00+01:00, in quotes"
	}
	return "text in quotes"
}

var textReader = reflect.TypeFor[interface{ UnmarshalText([]byte) error }]()

// shown is a value as it was sent, cut short; of an object or a list only what it is.
func shown(v jsontext.Value) string {
	const most = 60
	switch text := strings.TrimSpace(string(v)); {
	case text == "" || text[0] == '{' || text[0] == '[':
		return kindName(v.Kind())
	case utf8.RuneCountInString(text) > most:
		return string([]rune(text)[:most]) + "…"
	default:
		return text
	}
}

func kindName(k jsontext.Kind) string {
	switch k {
	case 'n':
		return "null"
	case 't', 'f':
		return "true or false"
	case '"':
		return "text"
	case '0':
		return "a number"
	case '{', '}':
		return "an object"
	case '[', ']':
		return "a list"
	}
	return "not readable"
}

// reason is the text of a library's error without the library's name.
func reason(err error) string {
	if err == nil {
		return "it is malformed"
	}
	return strings.TrimPrefix(strings.TrimPrefix(err.Error(), "jsontext: "), "json: ")
}
