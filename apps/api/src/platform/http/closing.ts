import type { FastifyInstance } from 'fastify';
import type { Socket } from 'node:net';

const LONGEST_MS = 10_000;

/**
 * Lets the server stop without waiting for what will never come: connections that browsers open ahead of a request count as busy, and would hold it for a
 * minute. Requests that are being answered get their time, and then no more.
 */
export function closeInTime(instance: FastifyInstance): void {
  const { server } = instance;
  const unused = new Set<Socket>();
  server.on('connection', (socket: Socket) => {
    unused.add(socket);
    socket.once('close', () => unused.delete(socket));
  });
  server.on('request', ({ socket }: { socket: Socket }) => unused.delete(socket));
  instance.addHook('preClose', async () => {
    for (const socket of unused) socket.destroy();
    setTimeout(() => server.closeAllConnections(), LONGEST_MS).unref();
  });
}
