import type { Scan, ScanPart } from '@scantling/core';
import { counted, listed, scaleFactor } from './numbers.ts';

/** One word per verdict: what the maker has to do. */
export const VERDICT_WORD: Readonly<Record<ScanPart['verdict'], string>> = {
  fits: 'fits',
  'fits-turned': 'turn',
  'fits-tilted': 'tilt',
  'too-big': 'split',
  undecided: 'undecided',
  unreadable: 'unreadable',
};

const fullName = (part: ScanPart): string =>
  part.part === null ? part.file : `${part.file} (${part.part})`;

/** For the progress bar: `torso.stl: split`. */
export const scanWord = (part: ScanPart): string =>
  `${fullName(part)}: ${VERDICT_WORD[part.verdict]}`;

/** The folder that all files lie in, with its slash; empty if there is none. */
export function commonFolder(files: readonly string[]): string {
  const first = files[0] ?? '';
  for (let end = first.lastIndexOf('/'); end > 0; end = first.lastIndexOf('/', end - 1)) {
    const folder = first.slice(0, end + 1);
    if (files.every((file) => file.startsWith(folder))) return folder;
  }
  return '';
}

export type ShortName = (part: ScanPart) => string;

/** Names without the folder that they share. */
export function nameShortener(parts: readonly ScanPart[]): ShortName {
  const folder = commonFolder(parts.map((part) => part.file));
  return (part) => fullName(part).slice(folder.length);
}

/** State of the mesh in a word. */
export const meshWord = (part: ScanPart): string =>
  part.mesh ? (part.mesh.verdict === 'usable' ? 'warnings' : part.mesh.verdict) : '-';

/** What a person would say of the kit. */
export function scanSentences(scan: Scan, short: ShortName): string[] {
  const { kit } = scan;
  const { counts } = kit;
  const folder = commonFolder(scan.parts.map((part) => part.file)).replace(/\/$/, '');
  const said = [
    counts.fits && `${counts.fits} ${verb(counts.fits)} on as modelled`,
    counts['fits-turned'] && `${counts['fits-turned']} when turned on the plate`,
    counts['fits-tilted'] && `${counts['fits-tilted']} when tilted`,
    counts['too-big'] && `${counts['too-big']} must be split`,
    counts.undecided && `${counts.undecided} could not be decided`,
    counts.unreadable && `${counts.unreadable} could not be read`,
  ].filter((text) => typeof text === 'string');
  const files = kit.files === kit.parts ? '' : ` from ${counted(kit.files, 'file')}`;
  const sentences = [
    `${folder ? `${folder}: ` : ''}${counted(kit.parts, 'part')}${files}: ${listed(said)}.`,
  ];
  const { scale } = kit;
  if (scale && scale.decidedBy.length) {
    const names = new Map(scan.parts.map((part) => [fullName(part), short(part)]));
    const deciders = scale.decidedBy.map((name) => names.get(name) ?? name);
    const by =
      deciders.length > 3 ? [...deciders.slice(0, 2), `${deciders.length - 2} more`] : deciders;
    const limit = `${listed(by)} ${deciders.length === 1 ? 'sets' : 'set'} that limit`;
    sentences.push(
      scale.atLeast >= 1
        ? `The whole kit fits unsplit, up to ${scaleFactor(scale.atLeast)} times its size; ${limit}.`
        : `Unsplit, the whole kit fits at ${percent(scale.atLeast)} of its size; ${limit}.`,
    );
  }
  if (kit.machines.length > 1 && kit.machines.some((machine) => machine.of > 0))
    sentences.push(
      `Parts that fit, by machine: ${kit.machines.map((m) => `${m.machine} ${m.fits} of ${m.of}`).join(', ')}.`,
    );
  if (!scan.complete) sentences.push('Stopped before the end: this is what was done by then.');
  return sentences;
}

const verb = (count: number): string => (count === 1 ? 'goes' : 'go');

/** Rounded down, so that what is printed fits. */
const percent = (scale: number): string => `${(Math.floor(scale * 1000 + 1e-9) / 10).toFixed(1)} %`;
