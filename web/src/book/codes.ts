/** Reads QR codes and barcodes. It and its WebAssembly are loaded when a ticket is first scanned. */

import { prepareZXingModule, readBarcodes, type ReaderOptions } from 'zxing-wasm/reader';
import { pixelsOf } from './pixels';
import reader from 'zxing-wasm/reader/zxing_reader.wasm?url';

const OPTIONS: ReaderOptions = {
  formats: ['QRCode', 'DataMatrix', 'Aztec', 'PDF417', 'Code128', 'Code39', 'ITF', 'EAN13'],
  maxNumberOfSymbols: 4,
  textMode: 'Plain',
};

/** Start the reader; rejects where it can't be had. */
export async function startReader(): Promise<void> {
  const overrides = { locateFile: () => new URL(reader, location.href).href };
  await prepareZXingModule({ overrides, fireImmediately: true });
}

/** The text of every code in a picture that was drawn, each on its lines; empty if there is none. */
export async function codesIn(picture: HTMLCanvasElement): Promise<string> {
  const pixels = pixelsOf(picture);
  const found = pixels ? await readBarcodes(pixels, OPTIONS) : [];
  const texts = found.filter(({ isValid, text }) => isValid && text).map(({ text }) => text);
  return [...new Set(texts)].join('\n');
}
