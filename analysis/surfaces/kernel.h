#pragma once
/// The hill that each point is spread to, of volume one.
#include <cstdint>

#include "shared/geo/geometry.h"

namespace leeward::analysis {

enum class KernelForm : std::uint8_t {
  Gaussian,  ///< bandwidth: the standard deviation on each axis
  Quartic,   ///< 3 / (pi h^2) (1 - d^2/h^2)^2 within the bandwidth h; its standard deviation is h / sqrt(8)
};

class Kernel {
 public:
  Kernel(KernelForm form, double bandwidth) : form_(form), bandwidth_(bandwidth) {}

  KernelForm form() const { return form_; }
  double bandwidth() const { return bandwidth_; }
  double at(double distance2) const;
  /// How far it is followed on a raster: all of a quartic, six bandwidths of a Gaussian (beyond lies under 2e-8 of the peak and of the volume).
  double reach() const { return form_ == KernelForm::Gaussian ? 6 * bandwidth_ : bandwidth_; }
  /// Volume over a rectangle, of the kernel that stands at `p`. Gaussian: closed form; quartic: Gauss-Legendre quadrature between the kinks, to some 1e-12.
  double massOver(const Bbox& box, Point p) const;
  /// One over the integral of its square: the area that it averages over.
  double effectiveArea() const;

 private:
  KernelForm form_;
  double bandwidth_;
};

/// Standard normal mass between two values, without cancellation in the tails.
double normalMass(double from, double to);

}  // namespace leeward::analysis
