# The same pieces of work by R's dbscan, sf, spdep and terra; one a process: Rscript peers.R TASK FOLDER small|large
# Prints lines "TASK library seconds MB": best of `times` (permutations: one), files read before, most memory of the process.
suppressMessages({
  args <- commandArgs(TRUE)
})
task <- args[1]; folder <- args[2]; size <- args[3]
most <- function() as.integer(sub("\\D*(\\d+).*", "\\1", grep("VmHWM", readLines("/proc/self/status"), value = TRUE))) %/% 1024L
say <- function(library, times, work) {
  best <- min(replicate(times, system.time(work())[["elapsed"]]))
  cat(task, library, sprintf("%.4f", best), most(), "\n")
}
points <- function(x, y) { d <- read.csv(file.path(folder, paste0("points_", size, ".csv"))); cbind(d[[x]], d[[y]]) }
areas <- function() sf::st_read(file.path(folder, paste0("areas_", size, ".gpkg")), quiet = TRUE)
if (task == "dbscan") {
  p <- points("x", "y")
  say("dbscan", 5, function() dbscan::dbscan(p, eps = 50, minPts = 8))
} else if (task == "points") {
  a <- areas(); p <- sf::st_as_sf(as.data.frame(points("area_x", "area_y")), coords = 1:2, crs = sf::st_crs(a))
  say("sf", 3, function() sf::st_intersects(p, a))
} else if (task == "points-terra") {
  a <- terra::vect(file.path(folder, paste0("areas_", size, ".gpkg"))); p <- terra::vect(points("area_x", "area_y"), crs = terra::crs(a))
  say("terra", 1, function() terra::relate(p, a, "intersects", pairs = TRUE))
} else if (task == "zonal") {
  v <- terra::vect(file.path(folder, paste0("areas_", size, ".gpkg"))); r <- terra::rast(file.path(folder, paste0("warmth_", size, ".tif")))
  m <- terra::extract(r, v, fun = mean, exact = TRUE, na.rm = TRUE)
  write.csv(m, file.path(folder, "means_terra.csv"))
} else {
  a <- areas()
  if (task == "queen") { say("spdep", 3, function() spdep::poly2nb(a, queen = TRUE)) } else {
    nb <- spdep::poly2nb(a, queen = TRUE); rate <- a$events / a$doors; set.seed(1)
    if (task == "moran") { w <- spdep::nb2listw(nb, style = "W"); say("spdep", 1, function() spdep::localmoran_perm(rate, w, nsim = 999)) }
    if (task == "gistar") { w <- spdep::nb2listw(spdep::include.self(nb), style = "B"); say("spdep", 1, function() spdep::localG_perm(rate, w, nsim = 999)) }
  }
}
