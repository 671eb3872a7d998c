import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader';
import wasmAddress from 'zxing-wasm/reader/zxing_reader.wasm?url';

/** Loads the reader, which is served by ourselves; its own default would be another host. */
export const loadReader = (): Promise<unknown> =>
  prepareZXingModule({ overrides: { locateFile: () => wasmAddress }, fireImmediately: true });

/** What the QR code in a picture says; the first one found where there are several, so that one container is meant at a time. */
export async function readCode(picture: ImageData): Promise<string | undefined> {
  const [found] = await readBarcodes(picture, { formats: ['QRCode'], maxNumberOfSymbols: 1 });
  return found?.isValid ? found.text : undefined;
}
