import { defineConfig } from "vite";

export default defineConfig({
  base: "/",
  build: {
    outDir: "../bundle",
    emptyOutDir: true,
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 900,
    modulePreload: { polyfill: false },
  },
});
