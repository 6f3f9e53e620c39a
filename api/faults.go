package api

import (
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// refuseSyntax says where a body stops being JSON.
func refuseSyntax(err error) *problem {
	syntax, ok := errors.AsType[*jsontext.SyntacticError](err)
	if !ok {
		return refuse(malformedJSON, "the body ends in the middle of the record; send all of it")
	}
	detail := fmt.Sprintf("the body stops being JSON at byte %d: %s", syntax.ByteOffset, reason(syntax.Err))
	switch {
	case errors.Is(err, jsontext.ErrDuplicateName):
		detail = "the name stands twice in one object; keep the one that counts"
	case errors.Is(err, io.ErrUnexpectedEOF):
		detail = fmt.Sprintf("the body ends at byte %d, in the middle of its JSON; send all of it", syntax.ByteOffset)
	}
	p := refuse(malformedJSON, "%s", detail)
	p.Errors = []fault{{Pointer: new(string(syntax.JSONPointer)), Detail: detail}}
	return p
}

// faultOf says in a grower's words why a field could not be read.
func faultOf(err error, kind crop.Kind) crop.Fault {
	wrong, ok := errors.AsType[*json.SemanticError](err)
	if !ok {
		return crop.Fault{Detail: "can't be read: " + reason(err)}
	}
	at := string(wrong.JSONPointer)
	switch {
	case errors.Is(wrong.Err, json.ErrUnknownName) && strings.Count(at, "/") == 1 && kind != "":
		return crop.Fault{Pointer: at, Detail: fmt.Sprintf("is not a field of %s; its fields are %s", kind, strings.Join(fieldsOf(kind), ", "))}
	case errors.Is(wrong.Err, json.ErrUnknownName):
		return crop.Fault{Pointer: at, Detail: "is not a field here; leave it out"}
	}
	want := wanted(wrong.GoType)
	if want == "" { // a type that reads text says itself what it wants
		want = "text"
		if wrong.JSONKind == '"' && wrong.Err != nil {
			return crop.Fault{Pointer: at, Detail: fmt.Sprintf("is %s, which is %s", shown(wrong), reason(wrong.Err))}
		}
	}
	return crop.Fault{Pointer: at, Detail: fmt.Sprintf("is %s; it must be %s", shown(wrong), want)}
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
		return "a number of usual size, without quotes"
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

var textReader = reflect.TypeFor[interface{ UnmarshalText([]byte) error }]()

// shown is the value that was sent, cut short.
func shown(e *json.SemanticError) string {
	if len(e.JSONValue) == 0 {
		return kindName(e.JSONKind)
	}
	const most = 60
	if s := string(e.JSONValue); len(s) > most {
		return strings.ToValidUTF8(s[:most], "") + "…"
	}
	return string(e.JSONValue)
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
