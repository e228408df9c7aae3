/* What is said in the language in use.  The English text is the key, as in Python, which fills
   in these when it puts a module together; in English they stay as they are. */

const WORDS = {};
const DECIMAL = ".";

/* a number, or its digits, with the language's decimal mark */
export function asWritten(number) {
  return String(number).replace(".", DECIMAL);
}

/* the text in that language, with values in the places that it names */
export function tr(text, values = {}) {
  const said = (value) => (typeof value === "number" ? asWritten(value) : String(value));
  return (WORDS[text] ?? text).replace(/\{(\w+)\}/g, (place, name) => (name in values ? said(values[name]) : place));
}
