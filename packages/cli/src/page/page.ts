/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import type { Viewer, ViewerMaker } from './turn.ts';

/** Runs in the report page: choosing and ordering parts, and unpacking the viewer when asked. */

const all = <T extends Element>(selector: string, within: ParentNode = document): T[] => [
  ...within.querySelectorAll<T>(selector),
];

function choosing(): void {
  const form = document.querySelector<HTMLFormElement>('#choose');
  const list = document.querySelector('#cards');
  if (!form || !list) return;
  form.hidden = false;
  const cards = all<HTMLElement>('.card', list);
  const sections = all<HTMLElement>('.part');
  const none = document.querySelector<HTMLElement>('#none');
  const count = document.querySelector('#count');
  const value = (card: HTMLElement, key: string): string => card.dataset[key] ?? '';
  const number = (key: string) => (a: HTMLElement, b: HTMLElement) =>
    Number(value(b, key)) - Number(value(a, key));
  const words = (key: string) => (a: HTMLElement, b: HTMLElement) =>
    value(a, key).localeCompare(value(b, key), undefined, { numeric: true });
  const orders: Record<string, (a: HTMLElement, b: HTMLElement) => number> = {
    news: (a, b) => Number(value(a, 'i')) - Number(value(b, 'i')),
    name: words('n'),
    size: number('s'),
    mass: number('m'),
    hours: number('h'),
    group: words('g'),
  };
  const choose = (): void => {
    const data = new FormData(form);
    const verdicts = new Set(data.getAll('verdict'));
    const group = data.get('group') ?? '';
    const find = String((data.get('find') as string | null) ?? '').trim().toLowerCase(); // prettier-ignore
    let shown = 0;
    for (const card of cards) {
      const fits =
        verdicts.has(value(card, 'v')) &&
        (group === '' || value(card, 'g') === group) &&
        value(card, 'n').includes(find);
      card.hidden = !fits;
      const section = sections[Number(value(card, 'i'))];
      if (section) section.hidden = !fits;
      if (fits) shown++;
    }
    const order = orders[(data.get('order') as string | null) ?? 'news'] ?? orders['news'];
    list.append(...[...cards].sort(order));
    if (none) none.hidden = shown > 0;
    if (count) count.textContent = `${shown} of ${cards.length} shown`;
  };
  form.addEventListener('input', choose);
  form.addEventListener('submit', (event) => event.preventDefault());
  choose();
}

async function inflate(base64: string): Promise<ArrayBuffer> {
  const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'));
  return new Response(stream).arrayBuffer();
}

let maker: Promise<ViewerMaker> | undefined;

/** The viewer's code lies deflated in the page and becomes a script when it is first wanted. */
function loadMaker(): Promise<ViewerMaker> {
  maker ??= (async () => {
    const code = document.querySelector('#turn-code')?.textContent ?? '';
    const script = document.createElement('script');
    script.textContent = new TextDecoder().decode(await inflate(code));
    document.head.append(script);
    const made = (globalThis as { scantlingTurn?: ViewerMaker }).scantlingTurn;
    if (!made) throw new Error('no viewer');
    return made;
  })();
  return maker;
}

function turning(): void {
  if (typeof DecompressionStream !== 'function') return;
  let close: (() => void) | undefined;
  for (const box of all<HTMLElement>('[data-turn]')) {
    const open = box.querySelector<HTMLButtonElement>('[data-open]');
    const stage = box.querySelector<HTMLElement>('.stage');
    const pack = box.querySelector<HTMLScriptElement>('script');
    if (!open || !stage || !pack) continue;
    box.hidden = false;
    let viewer: Viewer | undefined;
    const shut = (): void => {
      viewer?.end();
      viewer = undefined;
      // A fresh canvas: the old one's drawing context is given back.
      const used = box.querySelector('canvas');
      used?.replaceWith(used.cloneNode());
      stage.hidden = true;
      open.hidden = false;
    };
    open.addEventListener('click', () => {
      // One at a time: browsers allow few drawing contexts.
      close?.();
      close = shut;
      open.hidden = true;
      stage.hidden = false;
      void (async () => {
        try {
          const make = await loadMaker();
          const canvas = box.querySelector('canvas') as HTMLCanvasElement;
          viewer = make(canvas, JSON.parse(pack.dataset['head'] ?? '{}') as never, await inflate(pack.textContent ?? '')); // prettier-ignore
          viewer.apart(
            Number(box.querySelector<HTMLInputElement>('[data-apart]')?.value ?? 0) / 100,
          );
          canvas.focus();
        } catch {
          shut();
          const note = document.createElement('p');
          note.className = 'note';
          note.textContent = 'This browser cannot draw in three dimensions; the views above show the part.'; // prettier-ignore
          box.replaceChildren(note);
        }
      })();
    });
    box.querySelector('[data-close]')?.addEventListener('click', () => {
      shut();
      open.focus();
    });
    box.querySelector<HTMLInputElement>('[data-apart]')?.addEventListener('input', (event) => {
      viewer?.apart(Number((event.target as HTMLInputElement).value) / 100);
    });
  }
}

choosing();
turning();
