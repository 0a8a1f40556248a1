# The same blocks as leeward-map-bench paints, with R's sf (r-cran-sf): seconds to paint the whole on 1920 x 1080 pixels.
#   leeward-map-bench --json blocks.geojson && Rscript tests/bench/draw-blocks.R blocks.geojson blocks.png
suppressMessages(library(sf))
args <- commandArgs(trailingOnly = TRUE)
blocks <- st_set_crs(st_read(args[1], quiet = TRUE), NA)
colours <- c("#ffffff", "#dadaeb", "#bcbddc", "#9e9ac8", "#6a51a3")
best <- Inf
for (i in 1:3) {
  png(args[2], width = 1920, height = 1080, type = "cairo", antialias = "gray")
  par(mar = c(0, 0, 0, 0))
  took <- system.time({
    plot(st_geometry(blocks), col = colours[blocks$class + 1], border = "#8a8a82", lwd = 0.5)
    dev.off()
  })[["elapsed"]]
  best <- min(best, took)
}
cat(sprintf("%d blocks, sf %s: %.2f s\n", nrow(blocks), packageVersion("sf"), best))
