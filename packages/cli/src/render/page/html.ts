/** Text that is markup already. */
export class Markup {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
}

type Piece = string | number | Markup | null | undefined | false | readonly Piece[];

/** Markup from a template: whatever is put in is escaped unless it is markup itself. */
export function html(strings: TemplateStringsArray, ...values: readonly Piece[]): Markup {
  let out = strings[0] as string;
  values.forEach((value, i) => (out += textOf(value) + (strings[i + 1] as string)));
  return new Markup(out);
}

/** A string known to be markup, such as a drawing of our own. */
export const raw = (text: string): Markup => new Markup(text);

function textOf(value: Piece): string {
  if (value === null || value === undefined || value === false) return '';
  if (typeof value === 'string') return escape(value);
  if (typeof value === 'number') return String(value);
  return value instanceof Markup ? value.text : value.map(textOf).join('');
}

const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};
export const escape = (text: string): string => text.replace(/[&<>"']/g, (c) => ESCAPES[c] ?? c);

/** JSON that can stand inside a script element. */
export const scriptJson = (value: unknown): Markup =>
  raw(JSON.stringify(value).replace(/</g, '\\u003c').replace(/\u2028/g, '\\u2028').replace(/\u2029/g, '\\u2029')); // prettier-ignore
