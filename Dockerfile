# Three images from one file: `build` has everything and runs the migrations, `api` is what serves, `pgbouncer` is the pooler.
FROM node:22-bookworm-slim AS build
WORKDIR /app
COPY package.json package-lock.json ./
COPY packages/calc/package.json packages/calc/
COPY packages/contract/package.json packages/contract/
COPY packages/solver/package.json packages/solver/
COPY apps/api/package.json apps/api/
COPY apps/web/package.json apps/web/
COPY tools/package.json tools/
RUN npm ci --no-audit --no-fund
COPY . .
RUN node tools/build.mjs

FROM build AS pruned
RUN npm prune --omit=dev --no-audit --no-fund

FROM node:22-bookworm-slim AS api
WORKDIR /app
ENV NODE_ENV=production WEB_DIST=/app/apps/web/dist
COPY --from=pruned /app/package.json ./
COPY --from=pruned /app/node_modules node_modules
COPY --from=pruned /app/packages packages
COPY --from=pruned /app/apps apps
COPY --from=pruned /app/tools tools
COPY --from=pruned /app/shared shared
USER node
EXPOSE 4310
HEALTHCHECK --interval=10s --timeout=3s CMD ["node", "-e", "fetch('http://127.0.0.1:4310/api/health/ready').then((r) => process.exit(r.ok ? 0 : 1), () => process.exit(1))"]
CMD ["node", "apps/api/dist/main.js"]

FROM debian:bookworm-slim AS pgbouncer
RUN apt-get update && apt-get install --yes --no-install-recommends pgbouncer && rm -rf /var/lib/apt/lists/*
USER postgres
EXPOSE 6432
CMD ["pgbouncer", "/etc/pgbouncer/pgbouncer.ini"]
