// Loaded into the API when `npm start` runs it: when the start is gone, killed or ended, the API ends in good order instead of keeping the port.
process.on('disconnect', () => {
  // Windows has no signals to send, so the handlers are called as if one had come.
  if (process.platform === 'win32') process.emit('SIGTERM', 'SIGTERM');
  else process.kill(process.pid, 'SIGTERM');
  setTimeout(() => process.exit(1), 10_000).unref();
});
process.channel?.unref();
