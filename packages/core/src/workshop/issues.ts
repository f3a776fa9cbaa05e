import type * as z from 'zod';

type Issue = z.core.$ZodIssue;
type Path = readonly PropertyKey[];

export interface Complaint {
  readonly path: Path;
  readonly words: string;
  /** The key itself is wrong, not its value. */
  readonly onKey: boolean;
}

/** `machines[0].plate.box`, machines counted from 0 as in the file's own order. */
export const pathWords = (path: Path): string =>
  path
    .map((key) => (typeof key === 'number' ? `[${key}]` : `.${String(key)}`))
    .join('')
    .replace(/^\./, '');

/** A schema complaint as a sentence for the person who wrote the file. */
export function issueWords(issue: Issue, above: Path = []): Complaint {
  const path = [...above, ...issue.path];
  const say = (words: string, onKey = false, at: Path = path): Complaint => ({
    path: at,
    words,
    onKey,
  });
  switch (issue.code) {
    case 'unrecognized_keys':
      return say(`there is no such key here.`, true, [...path, issue.keys[0] ?? '']);
    case 'invalid_type':
      return isMissing(issue)
        ? say('is missing.')
        : say(`must be ${kinds[issue.expected] ?? issue.expected}.`);
    case 'too_small':
      if (issue.origin === 'array')
        return say(
          `needs at least ${issue.minimum === 1 ? 'one entry' : `${String(issue.minimum)} entries`}.`,
        );
      if (issue.origin === 'string') return say('must not be empty.');
      return say(`must be ${issue.inclusive ? 'at least' : 'above'} ${String(issue.minimum)}.`);
    case 'too_big':
      if (issue.origin === 'array') return say(`takes ${String(issue.maximum)} entries, not more.`);
      return say(`must be ${issue.inclusive ? 'at most' : 'below'} ${String(issue.maximum)}.`);
    case 'invalid_value':
      return say(`must be ${issue.values.map((value) => JSON.stringify(value)).join(' or ')}.`);
    case 'invalid_union': {
      // The branch whose keys are there is the one that was meant.
      const meant = issue.errors
        .map((list) => list[0])
        .find((first) => first !== undefined && first.path.length > 0 && !isMissing(first));
      if (meant) return issueWords(meant, path);
      return say('must be one of the forms in the comments of `scantling init`.');
    }
    default:
      return say(`${issue.message}.`);
  }
}

const isMissing = (issue: Issue): boolean =>
  issue.code === 'invalid_type' && /received undefined/.test(issue.message);

const kinds: Readonly<Record<string, string>> = {
  number: 'a number',
  string: 'text',
  boolean: 'true or false',
  array: 'a list, such as [220, 220]',
  tuple: 'a list, such as [220, 220]',
  object: 'a block of keys',
  int: 'a whole number',
};
