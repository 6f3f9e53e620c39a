package storage

import (
	"database/sql/driver"
	"fmt"
	"reflect"
	"testing"
)

// driverValue is what a driver gets of a value, as text with its type.
func driverValue(t *testing.T, v any) string {
	t.Helper()
	value, err := driver.DefaultParameterConverter.ConvertValue(v)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%T %v", value, value)
}

// fill sets every column of a row to something else than its zero value, each to another.
func fill(row any, l layout) {
	for i, index := range l.fields {
		f := reflect.ValueOf(row).Elem().FieldByIndex(index)
		if f.Kind() == reflect.Pointer {
			f.Set(reflect.New(f.Type().Elem()))
			f = f.Elem()
		}
		for range i + 1 {
			alter(f)
		}
	}
}
