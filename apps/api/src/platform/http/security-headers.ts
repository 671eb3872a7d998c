import helmet from '@fastify/helmet';
import type { FastifyInstance } from 'fastify';
import { createHash } from 'node:crypto';

/** Style sheets that the component library adds while the page runs; named by their hash, so that no other inline style is let in. */
const LIBRARY_STYLES = [
  '@layer {\n  [data-react-aria-pressable] {\n    touch-action: pan-x pan-y pinch-zoom;\n  }\n}',
  '@layer {\n  * {\n    overscroll-behavior: contain;\n  }\n}',
];

function hashSource(text: string): string {
  return `'sha256-${createHash('sha256').update(text).digest('base64')}'`;
}

/** Nothing from elsewhere, no inline script, in no frame. */
export async function addSecurityHeaders(instance: FastifyInstance, publicUrl: string): Promise<void> {
  const secure = publicUrl.startsWith('https:');
  await instance.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        // The reader of labels is WebAssembly; this allows that and no eval of text (CSP level 3, section 6.1.10).
        scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
        styleSrc: ["'self'", ...LIBRARY_STYLES.map(hashSource)],
        imgSrc: ["'self'", 'data:', 'blob:'],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
        ...(secure ? { upgradeInsecureRequests: [] } : {}),
      },
    },
    frameguard: { action: 'deny' },
    strictTransportSecurity: secure ? { maxAge: 31_536_000, includeSubDomains: false } : false,
    referrerPolicy: { policy: 'same-origin' },
  });
  instance.addHook('onRequest', async (request, reply) => {
    void reply.header('Permissions-Policy', 'camera=(self), microphone=(), geolocation=()');
    if (request.url.startsWith('/api/')) void reply.header('Cache-Control', 'no-store');
  });
}
