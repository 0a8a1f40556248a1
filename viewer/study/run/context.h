#pragma once
/// What the stages of a run share.
#include <map>
#include <string>
#include <vector>

#include "shared/ledger/ledger.h"
#include "shared/ledger/receipt.h"
#include "viewer/study/steps.h"
#include "viewer/study/study_file.h"

namespace leeward::study {

struct RunContext {
  const StudyFile& study;
  Ledger& ledger;
  Steps& steps;
  Crs frame;                               ///< of every layer below
  Date as_of;
  std::map<std::string, Layer> layers;     ///< public layers by kind, canonical columns, in the frame (rasters apart)
  std::map<std::string, std::string> source_keys = {};  ///< of the vector sources as their files are, by kind
  std::vector<std::string> remarks;        ///< what a reader must know
  std::vector<ReceiptInput> inputs;        ///< public files as they were read, with their SHA-256
  std::map<std::string, double> added_uncertainty_m = {};  ///< by kind of layer: of a datum shift that was done without its grid

  /// The system of lon and lat in the ledger and in outputs; in a study without a place they hold its own x and y.
  Crs positions() const { return frame.isLocal() ? frame : Crs::wgs84(); }

  const Layer* layer(const std::string& kind) const {
    const auto found = layers.find(kind);
    return found == layers.end() ? nullptr : &found->second;
  }
  /// The key of a layer, known before it is read.
  std::string keyOf(const std::string& kind) const {
    const auto found = source_keys.find(kind);
    return found == source_keys.end() ? "" : stepKey("framed", {found->second, frame.definition()});
  }
};

}  // namespace leeward::study
