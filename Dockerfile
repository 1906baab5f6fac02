# Builds dist/ with everything installed, then ships it with what it needs to run.
FROM node:22-slim AS build
WORKDIR /app
COPY package.json package-lock.json .npmrc ./
RUN npm ci
COPY . .
# The launcher builds before it runs anything; "help" does nothing else.
RUN node server/cli/lanewise.mjs help

FROM node:22-slim
ENV NODE_ENV=production
WORKDIR /app
COPY package.json package-lock.json .npmrc ./
RUN npm ci --omit=dev && npm cache clean --force
COPY server server
COPY views views
COPY db db
COPY --from=build /app/dist dist
# Newer than every file beside it, whatever copying did to their times: the launcher has nothing to build.
RUN touch dist/.built
# Used by the bundled database only, when there is no DATABASE_URL: mount a volume here, or its data go with the
# container.
ENV LANEWISE_DATA=/data
RUN mkdir /data && chown node:node /data
USER node
EXPOSE 3000
HEALTHCHECK --interval=10s --timeout=5s --start-period=30s \
  CMD ["node", "-e", "fetch(`http://127.0.0.1:${process.env.PORT || 3000}/health`).then((answer) => process.exit(answer.ok ? 0 : 1), () => process.exit(1))"]
CMD ["node", "server/cli/lanewise.mjs", "start"]
