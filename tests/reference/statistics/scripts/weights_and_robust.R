# The values of weighted_test.cpp: statistics of areas with weights of their own (spdep), and robust errors of count regressions (sandwich).
#   Rscript weights_and_robust.R [checks/data/nc_glm.csv]
# Made with R 4.2.2, spdep 1.2-7, sandwich 3.0-2, MASS 7.3-58.2 (Debian 12). The seven areas and their weights are invented.
suppressMessages({library(spdep); library(sandwich); library(MASS)})
show <- function(name, x) cat(name, ":", paste(sprintf("%.15g", x), collapse = ", "), "\n")

value <- c(3, 8.5, 1, 12, 7, 2.25, 9)
W <- matrix(0, 7, 7)
links <- rbind(c(1,2,2), c(2,1,0.5), c(1,3,1), c(3,1,1.5), c(2,4,3), c(4,2,3), c(3,4,0.25), c(4,5,1), c(5,4,2), c(5,6,0.75), c(6,5,0.75), c(6,7,4), c(7,6,1), c(7,2,0.5), c(3,7,2))
for (i in seq_len(nrow(links))) W[links[i, 1], links[i, 2]] <- links[i, 3]
raw <- suppressWarnings(mat2listw(W, style = "M"))
share <- suppressWarnings(mat2listw(W / rowSums(W), style = "M"))
for (name in c("raw", "share")) {
  lw <- get(name)
  s <- Szero(lw); k <- spweights.constants(lw)
  show(paste(name, "S0 S1 S2"), c(k$S0, k$S1, k$S2))
  for (randomisation in c(TRUE, FALSE)) {
    m <- moran.test(value, lw, randomisation = randomisation, alternative = "two.sided"); show(paste(name, "moran", randomisation), c(m$estimate, m$statistic, m$p.value))
    g <- geary.test(value, lw, randomisation = randomisation, alternative = "two.sided"); show(paste(name, "geary", randomisation), c(g$estimate, g$statistic, g$p.value))
  }
  show(paste(name, "local moran"), localmoran(value, lw, mlvar = TRUE)[, "Ii"])
}
g <- suppressWarnings(globalG.test(value, raw, alternative = "two.sided")); show("raw general G", c(g$estimate, g$statistic, g$p.value))
show("raw Gi", suppressWarnings(localG(value, raw)))
self <- W; diag(self) <- 1
star <- suppressWarnings(mat2listw(self, style = "M")); attr(star$neighbours, "self.included") <- TRUE
show("raw Gi*", suppressWarnings(localG(value, star)))

counts <- c(18, 17, 15, 20, 10, 20, 25, 13, 12)  # Dobson 1990, p. 93
outcome <- gl(3, 1, 9); treatment <- gl(3, 3)
fit <- glm(counts ~ outcome + treatment, family = poisson(), control = glm.control(epsilon = 1e-15, maxit = 100))
show("Dobson HC0", sqrt(diag(vcovHC(fit, type = "HC0")))); show("Dobson HC1", sqrt(diag(vcovHC(fit, type = "HC1"))))
show("Dobson leverage", hatvalues(fit))

file <- commandArgs(TRUE)
if (length(file) == 1) {
  nc <- read.csv(file)
  fit <- glm(SID74 ~ nonwhite_per_1000 + offset(log(BIR74)), family = poisson(), data = nc, control = glm.control(epsilon = 1e-15, maxit = 100))
  show("nc Poisson HC0", sqrt(diag(vcovHC(fit, type = "HC0")))); show("nc Poisson HC1", sqrt(diag(vcovHC(fit, type = "HC1"))))
  show("nc Poisson leverage 1-5", hatvalues(fit)[1:5])
  fit <- glm.nb(SID74 ~ nonwhite_per_1000 + offset(log(BIR74)), data = nc, control = glm.control(epsilon = 1e-14, maxit = 200))
  show("nc negative binomial HC0", sqrt(diag(sandwich(fit))))
}
