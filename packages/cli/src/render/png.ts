import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';

let ready: Promise<void> | undefined;

/** An SVG as PNG at its own size in pixels. The rasteriser is loaded at the first call. */
export async function svgToPng(svg: string): Promise<Uint8Array> {
  const { initWasm, Resvg } = await import('@resvg/resvg-wasm');
  ready ??= (async () => {
    const wasm = createRequire(import.meta.url).resolve('@resvg/resvg-wasm/index_bg.wasm');
    await initWasm(await readFile(wasm));
  })();
  await ready;
  const picture = new Resvg(svg);
  try {
    const image = picture.render();
    const bytes = image.asPng();
    image.free();
    return bytes;
  } finally {
    picture.free();
  }
}
