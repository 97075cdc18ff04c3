/* What stands in a form's fields, and what the server gave them. */

const NEVER = new Set(["hidden", "file", "password", "submit", "button", "reset", "image"]);

/* Whether a person fills it in. */
export const isTyped = (field) => Boolean(field.name) && !NEVER.has(field.type) && field.type !== "fieldset";

export const fieldsOf = (form) => [...form.elements].filter(isTyped);

export const chosen = (field) => field.type === "checkbox" || field.type === "radio";

const givenOption = (list) => [...list.options].find((option) => option.defaultSelected) ?? list.options[0];

/* What stands in a field now, and what the server gave it: of a tick or a choice whether it is set, else its text. */
export const stands = (field) => (chosen(field) ? field.checked : field.value);
export const given = (field) => {
  if (chosen(field)) return field.defaultChecked;
  return field.type === "select-one" ? (givenOption(field)?.value ?? "") : field.defaultValue;
};

// Name and text of each field that something stands in; of a tick or a choice, only where it is set.
const named = (form, what) =>
  fieldsOf(form)
    .map((field) => [field, what(field)])
    .filter(([field, text]) => !chosen(field) || text)
    .map(([field, text]) => [field.name, chosen(field) ? field.value : text]);

export const valuesOf = (form) => named(form, stands);
export const givenOf = (form) => named(form, given);
