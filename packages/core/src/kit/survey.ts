import type { Mesh } from '../mesh/index.ts';
import { bodyOf, likeness, otherSide, type Body } from './alike.ts';
import type { Kit, KitResult } from './schema.ts';

export interface SurveyedPart {
  readonly file: string;
  readonly mesh: Mesh;
}

type Survey = Pick<KitResult, 'alike' | 'missingTwins' | 'unlikeTwins' | 'wrongClaims'>;

/**
 * Copies and mirror images among the parts, each named once against the first of its kind; left and
 * right parts whose other side is missing or no mirror image; and claims of the kit file that the
 * meshes deny. One comparison per pair with equal counts.
 */
export function surveyKit(parts: readonly SurveyedPart[], kit?: Kit): Survey {
  const bodies = parts.map((p) => ({ file: p.file, body: bodyOf(p.mesh) }));
  const alike: KitResult['alike'] = [];
  const firsts: { file: string; body: Body }[] = [];
  for (const one of bodies) {
    let found = false;
    for (const first of firsts) {
      const like = likeness(first.body, one.body);
      if (!like) continue;
      alike.push({ file: one.file, of: first.file, kind: like.kind, errorMm: like.errorMm });
      found = true;
      break;
    }
    if (!found) firsts.push(one);
  }
  const byFile = new Map(bodies.map((b) => [b.file, b.body]));
  const names = new Map(parts.map((p) => [p.file.toLowerCase(), p.file]));
  const missingTwins: KitResult['missingTwins'] = [];
  const unlikeTwins: KitResult['unlikeTwins'] = [];
  for (const { file, body } of bodies) {
    const other = otherSide(file);
    if (other === null) continue;
    const there = names.get(other.toLowerCase());
    if (there === undefined) missingTwins.push({ file, missing: other });
    else if (file < there && !likeness(body, byFile.get(there) as Body)) unlikeTwins.push({ file, other: there }); // prettier-ignore
  }
  const wrongClaims: KitResult['wrongClaims'] = [];
  for (const part of kit?.parts ?? [])
    for (const claim of ['copyOf', 'twinOf'] as const) {
      const of = part[claim];
      const [a, b] = [byFile.get(of ?? ''), byFile.get(part.file)];
      if (of === undefined || !a || !b) continue;
      const like = likeness(a, b);
      // A body that is its own mirror image is copy and twin alike.
      if (!like || (claim === 'copyOf' && like.kind !== 'copy')) wrongClaims.push({ file: part.file, of, claim }); // prettier-ignore
    }
  return { alike, missingTwins, unlikeTwins, wrongClaims };
}
