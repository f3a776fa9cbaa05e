import { raw, type Markup } from './html.ts';

type Verdict = 'fits' | 'fits-turned' | 'fits-tilted' | 'too-big' | 'undecided' | 'unreadable';

/**
 * A sign per verdict: a block on a plate, told by its shape, so that it reads without colour and in
 * black and white. Upright, turned (seen from above, with an arrow), tilted, cut by a cutting-plane
 * line, in dots, crossed out.
 */
const SHAPES: Readonly<Record<Verdict, string>> = {
  fits: '<path d="M2 20.5h20M7 20V7h10v13z"/>',
  'fits-turned': '<path d="M12 4.5l6 6-6 6-6-6zM3.5 15.5a9.5 9.5 0 0 0 17 0m0 0l-.5 4m.5-4l-4 .8"/>',
  'fits-tilted': '<path d="M2 20.5h20M9.5 20L4 10.4l9-5.2 5.500 9.600z"/>',
  'too-big': '<path d="M2 20.5h20M6 20V4h12v16z"/><path d="M2 12h4m2 0h1.500m2 0h3.500m2 0h1m2 0h4" stroke-width="2.4"/>',
  undecided: '<path d="M2 20.5h20"/><path d="M7 20V7h10v13z" stroke-dasharray="1 2.600"/><path d="M12 10v4m0 2.500v.5"/>',
  unreadable: '<path d="M7 21V3h7l4 4v14zM14 3v4h4"/><path d="M9.500 11l6 6m0-6l-6 6"/>',
}; // prettier-ignore

/** All signs, to be put once into the page and used by `sign`. */
export const SIGN_SHEET: Markup = raw(
  `<svg width="0" height="0" style="position:absolute" aria-hidden="true"><defs>${Object.entries(
    SHAPES,
  )
    .map(([name, body]) => `<symbol id="s-${name}" viewBox="0 0 24 24">${body}</symbol>`)
    .join('')}</defs></svg>`,
);

export const sign = (verdict: Verdict): Markup =>
  raw(
    `<svg class="sign v-${verdict}" viewBox="0 0 24 24" aria-hidden="true"><use href="#s-${verdict}"/></svg>`,
  );

export const VERDICTS: readonly { readonly id: Verdict; readonly word: string; readonly means: string }[] = [
  { id: 'unreadable', word: 'broken file', means: 'the file cannot be read' },
  { id: 'undecided', word: 'undecided', means: 'neither a placement nor a proof of the contrary was found' },
  { id: 'too-big', word: 'split', means: 'fits in no orientation: it must be split' },
  { id: 'fits-tilted', word: 'tilt', means: 'fits once tilted' },
  { id: 'fits-turned', word: 'turn', means: 'fits once turned on the plate, same face down' },
  { id: 'fits', word: 'as modelled', means: 'fits as it lies in the file' },
]; // prettier-ignore

export const wordOf = (verdict: string): string =>
  VERDICTS.find((v) => v.id === verdict)?.word ?? verdict;
