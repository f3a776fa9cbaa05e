import type { KitResult } from '@scantling/core';
import { counted, listed } from './numbers.ts';
import { wrap } from './table.ts';

/** What the kit holds and what deserves a look, in sentences. */
export function kitText(kit: KitResult, path: string, width: number): string {
  const of = (kind: 'copy' | 'twin', words: string): string[] =>
    kit.alike.filter((a) => a.kind === kind).map((a) => `${a.file} ${words} ${a.of}.`);
  const lines = [
    `${path}: ${counted(kit.parts, 'part')}, ${counted(kit.pieces, 'piece')}${kit.added.length > 0 ? `, ${kit.added.length} of them new in the file` : ''}.`,
    ...of('twin', 'is the mirror image of'),
    ...of('copy', 'is the same body as'),
    ...kit.missingTwins.map((m) => `${m.file}: its other side ${m.missing} is missing.`),
    ...kit.unlikeTwins.map((m) => `${m.file} and ${m.other} are no mirror images of each other.`),
    ...kit.wrongClaims.map((c) => `${c.file}: the kit file says ${c.claim} ${c.of}; the meshes deny it.`), // prettier-ignore
    ...(kit.gone.length > 0 ? [`In the kit file, but not in the folder: ${listed(kit.gone)}.`] : []), // prettier-ignore
    ...kit.unreadable.map((u) => `${u.file}: cannot be read, ${u.because}`),
  ];
  return lines.map((line) => `${wrap(line, width, '  ')}\n`).join('');
}
